//! The links, images and anchors of a finished site.

use crate::diagnostic::{Diagnostic, did_you_mean, nearest};
use crate::files::files;
use crate::site::links::{LINKS, decode, leaves_the_site, resolve, with_slashes};
use html5ever::tokenizer::states::RawKind;
use html5ever::tokenizer::{
    BufferQueue, Tag, TagKind, Token, TokenSink, TokenSinkResult, Tokenizer, TokenizerOpts,
};
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::{fs, io};

/// Everything wrong in the site in `folder`, pages in the order of their names. What a chapter has told is
/// not told again by the pages that copy it.
///
/// # Errors
/// A page cannot be read.
pub fn check_site(folder: &Path) -> io::Result<Vec<Diagnostic>> {
    let mut pages = BTreeMap::new();
    for name in files(folder)?.into_iter().filter(|name| name.ends_with(".html")) {
        let page = read_page(&fs::read_to_string(folder.join(&name))?);
        pages.insert(PathBuf::from(name), page);
    }
    let told_by = |(path, page): (&PathBuf, &Page)| {
        let dead_links =
            page.links.iter().filter_map(|link| Some((link, dead(folder, &pages, path, page, link)?)));
        let name = with_slashes(path);
        let error = |(link, hints)| Diagnostic::plain(format!("{name}: `{link}` leads nowhere")).hints(hints);
        dead_links.map(error).collect::<Vec<_>>()
    };
    // The first chapter stands also in `index.html`, and the whole book in `print.html`.
    let is_copy = |path: &Path| ["index.html", "print.html"].iter().any(|copy| path == Path::new(copy));
    let (copies, originals): (Vec<_>, Vec<_>) = pages.iter().partition(|(path, _)| is_copy(path));
    let errors: Vec<_> = originals.into_iter().flat_map(told_by).collect();
    if errors.is_empty() { Ok(copies.into_iter().flat_map(told_by).collect()) } else { Ok(errors) }
}

/// What the check needs to know about a page.
#[derive(Debug, Default)]
struct Page {
    anchors: BTreeSet<String>,
    /// Addresses as written, each once, in order of appearance.
    links: Vec<String>,
    /// The page has a `<base>`: its addresses start at the top of the site.
    from_top: bool,
}

/// The hints for a link that leads nowhere; `None` for one that leads somewhere or out of the site.
fn dead(
    folder: &Path,
    pages: &BTreeMap<PathBuf, Page>,
    from: &Path,
    page: &Page,
    link: &str,
) -> Option<Vec<String>> {
    if leaves_the_site(link) {
        return None;
    }
    let (address, anchor) = link.split_once('#').unwrap_or((link, ""));
    let address = decode(address.split('?').next().unwrap_or(address));
    let start = if page.from_top { Path::new("") } else { from.parent().unwrap_or(Path::new("")) };
    let target = if address.is_empty() { Some(from.to_owned()) } else { resolve(start, &address) };
    let Some(mut target) = target else {
        return Some(vec!["it points above the top of the site".to_owned()]);
    };
    if folder.join(&target).is_dir() {
        target.push("index.html");
    }
    if !folder.join(&target).is_file() {
        // Without the endings, which all pages share.
        let stems = pages.keys().map(|path| with_slashes(&path.with_extension("")));
        let near = nearest(&with_slashes(&target.with_extension("")), stems);
        return Some(near.iter().map(|stem| format!("there is a page `{stem}.html`")).collect());
    }
    let anchor = decode(anchor);
    let anchors = &pages.get(&target)?.anchors;
    if anchor.is_empty() || anchor == "top" || anchors.contains(&anchor) {
        return None;
    }
    let mut hints = vec![format!("{} has no anchor `{anchor}`", with_slashes(&target))];
    hints.extend(did_you_mean(&anchor, anchors));
    Some(hints)
}

fn read_page(html: &str) -> Page {
    let queue = BufferQueue::default();
    queue.push_back(html.into());
    let tokenizer = Tokenizer::new(Reader::default(), TokenizerOpts::default());
    while let html5ever::TokenizerResult::Script(()) = tokenizer.feed(&queue) {}
    tokenizer.end();
    tokenizer.sink.page.into_inner()
}

/// Gathers a [`Page`] while the tokenizer reads.
#[derive(Default)]
struct Reader {
    page: RefCell<Page>,
}

impl TokenSink for Reader {
    type Handle = ();

    fn process_token(&self, token: Token, _line: u64) -> TokenSinkResult<()> {
        if let Token::TagToken(tag) = token { self.tag(&tag) } else { TokenSinkResult::Continue }
    }
}

impl Reader {
    fn tag(&self, tag: &Tag) -> TokenSinkResult<()> {
        let name = &*tag.name;
        let opens = tag.kind == TagKind::StartTag;
        if !opens {
            return TokenSinkResult::Continue;
        }
        let mut page = self.page.borrow_mut();
        page.from_top |= name == "base";
        for attribute in &tag.attrs {
            let (key, value) = (&*attribute.name.local, attribute.value.to_string());
            if key == "id" || (key == "name" && name == "a") {
                page.anchors.insert(value);
            } else if LINKS.contains(&(name, key)) && !page.links.contains(&value) {
                page.links.push(value);
            }
        }
        match name {
            "script" => TokenSinkResult::RawData(RawKind::ScriptData),
            "style" => TokenSinkResult::RawData(RawKind::Rawtext),
            _ => TokenSinkResult::Continue,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The messages and first hints for a site of the given files.
    fn check(files: &[(&str, &str)]) -> Vec<String> {
        let folder = tempfile::tempdir().unwrap();
        for (path, text) in files {
            let path = folder.path().join(path);
            fs::create_dir_all(path.parent().unwrap()).unwrap();
            fs::write(path, text).unwrap();
        }
        let errors = check_site(folder.path()).unwrap();
        errors.into_iter().map(|error| [vec![error.message], error.hints].concat().join("; ")).collect()
    }

    #[test]
    fn links_that_lead_somewhere_pass() {
        let page = r##"<a href="b/c.html#d e"></a><a href="b/c.html#d%20e"></a><a href="#x"></a><p id=x></p><a href="b/">i</a>
            <img src="b/my%20fish.png?v=2"><a href="https://example.org/none"></a><a href="mailto:a@example.org"></a><a href="/none"></a>
            <a href="#"></a><script>var a = "<a href='none'>{= =}";</script><img src="data:image/png;base64,AA">"##;
        let inner = r#"<a name="d e"></a><a href="../a.html#x">a</a><a href="./index.html">a</a>"#;
        let files = [("a.html", page), ("b/c.html", inner), ("b/index.html", ""), ("b/my fish.png", "")];
        assert_eq!(check(&files), Vec::<String>::new());
    }

    #[test]
    fn dead_links_images_and_anchors_are_told() {
        let page = r#"<a href="floww.html">a</a><a href="flow.html#bnad">b</a><img src="none.png"><a href="../up.html"></a>"#;
        let errors = check(&[("a.html", page), ("flow.html", "<p id=band></p>")]);
        let want = [
            "a.html: `floww.html` leads nowhere; there is a page `flow.html`",
            "a.html: `flow.html#bnad` leads nowhere; flow.html has no anchor `bnad`; did you mean `band`?",
            "a.html: `none.png` leads nowhere",
            "a.html: `../up.html` leads nowhere; it points above the top of the site",
        ];
        assert_eq!(errors, want);
    }

    #[test]
    fn a_page_with_a_base_starts_at_the_top() {
        let files = [("404/x.html", r#"<base href="/"><a href="a.html">a</a>"#), ("a.html", "")];
        assert_eq!(check(&files), Vec::<String>::new());
    }
}

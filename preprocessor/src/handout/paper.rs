//! What of a page goes to paper: one system of units where only that is wanted, and nothing that has to be
//! pressed, opened or followed.

use reckoner_calc::quantity::System;
use reckoner_page::systems;

use crate::edition::club::Units;
use crate::prose::html;

/// The one system that is printed, where it is one.
fn system(units: Units) -> Option<System> {
    match units {
        Units::Metric => Some(System::Metric),
        Units::Us => Some(System::Us),
        Units::Both => None,
    }
}

/// The classes of what is not printed.
fn left_out(units: Units) -> &'static [&'static str] {
    match units {
        Units::Metric => &["us", "both"],
        Units::Us => &["metric", "both"],
        Units::Both => &[],
    }
}

/// Classes of what only a screen has, or what nobody prints.
const OF_SCREENS: [&str; 4] = ["on-screen", "needs-script", "deeper", "sizes"];
/// What can only be pressed or typed into.
const PRESSED: [&str; 6] = ["button", "form", "input", "script", "select", "textarea"];
/// What is read to those who look with a pointer, or leads somewhere on a screen.
const ATTRIBUTES: [&str; 5] = ["href", "open", "role", "tabindex", "title"];
/// The text of these stands in no paragraph, and can hold no elements.
const SPOKEN: [&str; 2] = ["title", "desc"];

/// What becomes of an element.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Fate {
    Stays,
    /// It goes with all that is in it.
    Goes,
    /// Its tags go, and what is in it stays.
    Opens,
    /// It stays by another name.
    Becomes(&'static str),
}

/// The HTML of a page as it goes to paper.
pub fn for_paper(html: &str, units: Units) -> String {
    let html = without_comments(html);
    let mut out = String::with_capacity(html.len());
    let mut open: Vec<(String, Fate)> = Vec::new();
    let mut done = 0;
    for tag in html::tags(&html, 0..html.len()) {
        let goes = |open: &[(String, Fate)]| open.iter().any(|(_, fate)| *fate == Fate::Goes);
        if !goes(&open) {
            let is_spoken = open.last().is_some_and(|(name, _)| SPOKEN.contains(&name.as_str()));
            let text = &html[done..tag.start];
            match system(units).filter(|_| is_spoken) {
                Some(system) => out.push_str(&systems::only(text, system)),
                None => out.push_str(text),
            }
        }
        done = tag.end;
        let written = &html[tag.clone()];
        let name = html::name(written);
        if written.starts_with("</") {
            let Some(at) = open.iter().rposition(|(of_open, _)| *of_open == name) else { continue };
            let fate = open[at].1;
            open.truncate(at);
            match fate {
                _ if goes(&open) => {}
                Fate::Stays => out.push_str(written),
                Fate::Becomes(name) => out.push_str(&format!("</{name}>")),
                Fate::Goes | Fate::Opens => {}
            }
            continue;
        }
        let fate = fate(&html, tag.clone(), &name, &open, units);
        match fate {
            _ if goes(&open) => {}
            Fate::Stays => out.push_str(&tag_for_paper(&html, tag.clone(), &name)),
            Fate::Becomes(other) => out.push_str(&tag_for_paper(&html, tag.clone(), other)),
            Fate::Goes | Fate::Opens => {}
        }
        if !written.ends_with("/>") && !html::VOID.contains(&name.as_str()) {
            open.push((name, fate));
        }
    }
    out.push_str(&html[done..]);
    out
}

fn fate(html: &str, tag: std::ops::Range<usize>, name: &str, open: &[(String, Fate)], units: Units) -> Fate {
    let attributes = html::attributes(html, tag);
    let class = attributes.iter().find(|(name, _)| name == "class");
    let classes: Vec<_> = class.map_or("", |(_, value)| &html[value.clone()]).split_whitespace().collect();
    let has = |names: &[&str]| classes.iter().any(|class| names.contains(class));
    let is_inside = |name: &str| open.iter().any(|(of_open, _)| of_open == name);
    if PRESSED.contains(&name) || has(&OF_SCREENS) || has(left_out(units)) {
        return Fate::Goes;
    }
    match name {
        "a" => Fate::Opens,
        // What a picture says stands in the picture.
        "details" if is_inside("figure") => Fate::Goes,
        "details" => Fate::Becomes("section"),
        "summary" => Fate::Becomes("h4"),
        _ => Fate::Stays,
    }
}

/// A tag without what a screen alone has use for.
fn tag_for_paper(html: &str, tag: std::ops::Range<usize>, name: &str) -> String {
    let written = &html[tag.clone()];
    let is_picture = ["svg", "img"].contains(&name);
    let attributes = html::attributes(html, tag);
    let goes = |of: &str| ATTRIBUTES.contains(&of) && !(is_picture && of == "role");
    let is_heading = name.len() == 2 && name.starts_with('h') && name != "hr";
    if !is_heading && name == html::name(written) && !attributes.iter().any(|(of, _)| goes(of)) {
        return written.to_owned();
    }
    let mut out = format!("<{name}");
    for (of, value) in attributes.iter().filter(|(of, _)| !(goes(of) || is_heading && of == "id")) {
        out.push_str(&format!(" {of}=\"{}\"", html[value.clone()].replace('"', "&quot;")));
    }
    out + if written.ends_with("/>") { "/>" } else { ">" }
}

fn without_comments(html: &str) -> String {
    let mut out = String::with_capacity(html.len());
    let mut rest = html;
    while let Some((before, comment)) = rest.split_once("<!--") {
        out.push_str(before);
        rest = comment.split_once("-->").map_or("", |(_, behind)| behind);
    }
    out + rest
}

#[cfg(test)]
mod tests {
    use super::*;

    const BOTH: &str = "<p>It holds <data class=\"figure\" title=\"a &amp; b\" value=\"1\"><span class=\"metric\">2 L</span>\
                        <span class=\"both\"> (</span><span class=\"us\">0.53 US gal</span><span class=\"both\">)</span></data>.</p>";

    #[test]
    fn one_system_is_left() {
        assert!(for_paper(BOTH, Units::Both).contains("<span class=\"us\">"));
        assert_eq!(
            for_paper(BOTH, Units::Metric),
            "<p>It holds <data class=\"figure\" value=\"1\"><span class=\"metric\">2 L</span></data>.</p>"
        );
        assert!(!for_paper(BOTH, Units::Us).contains("2 L"));
        let said =
            "<svg role=\"img\"><title>Of 2\u{a0}L (0.53\u{a0}US\u{a0}gal)</title><path d=\"M0 0\"/></svg>";
        assert_eq!(
            for_paper(said, Units::Us),
            "<svg role=\"img\"><title>Of 0.53\u{a0}US\u{a0}gal</title><path d=\"M0 0\"/></svg>"
        );
    }

    #[test]
    fn nothing_is_left_to_press_or_to_open() {
        let page = "<!--reckoner x--><h2 id=\"a\">A</h2><p>See <a href=\"b.html\">the <b>chapter</b></a>.<br>So.</p><!--/reckoner-->\
                    <details class=\"deeper\"><summary>Why</summary><p>Long</p></details><form><p><input>x</p></form>\
                    <details class=\"exercise\"><summary>Try</summary><p>It</p></details>\
                    <figure><svg viewBox=\"0 0 1 1\"></svg><figcaption>C</figcaption><details><summary>S</summary>V</details></figure>\
                    <p class=\"on-screen\">Push</p>";
        assert_eq!(
            for_paper(page, Units::Both),
            "<h2>A</h2><p>See the <b>chapter</b>.<br>So.</p><section class=\"exercise\"><h4>Try</h4><p>It</p></section>\
             <figure><svg viewBox=\"0 0 1 1\"></svg><figcaption>C</figcaption></figure>"
        );
    }
}

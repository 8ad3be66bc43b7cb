//! Several chapters as one: a cover, the contents, and page numbers once they are known.

use std::collections::BTreeMap;

use maud::{Markup, PreEscaped, html};

use crate::handout::page::{self, Imprint, words};

/// A booklet before the numbers of its pages are known.
#[derive(Debug, Clone)]
pub struct Booklet {
    /// Its chapters.
    pub chapters: Vec<Chapter>,
    /// What it says of itself.
    pub imprint: Imprint,
}

/// A chapter with its headings.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Chapter {
    /// What it is called.
    title: String,
    /// Its sections.
    sections: Vec<String>,
    /// Its HTML, in which the headings of sections are still without marks.
    body: String,
}

const CHAPTER: &str = "<h1>";
const SECTION: &str = "<h2>";

impl Chapter {
    /// Reads a chapter as it goes to paper.
    pub fn new(html: &str) -> Self {
        let heading = |rest: &str, close: &str| words(rest.split(close).next().unwrap_or_default());
        let sections = html.split(SECTION).skip(1).map(|rest| heading(rest, "</h2>")).collect();
        Chapter { title: page::title_of(html), sections, body: html.to_owned() }
    }

    /// Its HTML, each heading with a mark that the contents lead to.
    fn marked(&self, at: usize) -> String {
        let mut parts = self.body.split(SECTION);
        let mut out =
            parts.next().unwrap_or_default().replacen(CHAPTER, &format!("<h1 id=\"{}\">", mark(at, 0)), 1);
        for (section, part) in parts.enumerate() {
            out.push_str(&format!("<h2 id=\"{}\">{part}", mark(at, section + 1)));
        }
        out
    }
}

/// The mark of a heading: of the chapter itself, or of one of its sections.
fn mark(chapter: usize, section: usize) -> String {
    format!("c{chapter}-{section}")
}

/// With more chapters than these the cover names none, and the contents no sections.
const MANY: usize = 10;

impl Booklet {
    fn is_long(&self) -> bool {
        self.chapters.len() > MANY
    }

    /// The page.
    ///
    /// - `pages`: the numbers of the pages on which the marks stand, as far as they are known
    pub fn page(&self, pages: &BTreeMap<String, usize>) -> String {
        let bodies: Vec<_> =
            self.chapters.iter().enumerate().map(|(at, chapter)| chapter.marked(at)).collect();
        let text = bodies.concat();
        let inside = html! {
            (self.cover(&text))
            (self.contents(pages))
            main { @for body in &bodies { article { (PreEscaped(body)) } } }
        };
        page::page("booklet", "", &text, &inside, &self.imprint)
    }

    fn cover(&self, text: &str) -> Markup {
        html! {
            header class="cover" {
                p class="club" { (self.imprint.club) }
                p class="book" { (self.imprint.book) }
                @if !self.is_long() { ul { @for chapter in &self.chapters { li { (chapter.title) } } } }
                (page::foot(text, &self.imprint))
            }
        }
    }

    fn contents(&self, pages: &BTreeMap<String, usize>) -> Markup {
        let line = |title: &str, mark: String| {
            html! {
                a href={ "#" (mark) } { (title) }
                span class="page" { @if let Some(page) = pages.get(&mark) { (page) } }
            }
        };
        html! {
            nav class="contents" {
                p class="head" { "Contents" }
                ol {
                    @for (at, chapter) in self.chapters.iter().enumerate() {
                        li class="chapter" { (line(&chapter.title, mark(at, 0))) }
                        @for (section, title) in chapter.sections.iter().enumerate().filter(|_| !self.is_long()) {
                            li class="section" { (line(title, mark(at, section + 1))) }
                        }
                    }
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn headings_are_marked_in_their_order() {
        let chapter = Chapter::new("<h1>A <b>b</b></h1><p>x</p><h2>One</h2><p>y</p><h2>Two</h2>");
        assert_eq!(
            (chapter.title.as_str(), chapter.sections.as_slice()),
            ("A b", &["One".to_owned(), "Two".to_owned()][..])
        );
        assert_eq!(
            chapter.marked(3),
            "<h1 id=\"c3-0\">A <b>b</b></h1><p>x</p><h2 id=\"c3-1\">One</h2><p>y</p><h2 id=\"c3-2\">Two</h2>"
        );
    }
}

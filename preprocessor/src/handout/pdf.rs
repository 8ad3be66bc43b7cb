//! What the browser printed: on which page a mark stands, and the same bytes from the same sheet.
//!
//! The browser writes its objects one after the other in plain text, and squeezes only what is drawn. So these
//! few can be read as they stand; where they can not, the contents go without numbers.

use std::collections::BTreeMap;

use reckoner_calc::formulas::calendar::Date;

/// When the sheet was made, as the browser writes it.
const DATES: [&str; 2] = ["/CreationDate (D:", "/ModDate (D:"];

/// How the name of a part for whoever listens to the page begins.
const NODE: &[u8] = b"(node";

/// Takes the time of printing out; in its place comes the day that the sheet bears, or nothing. Every byte else
/// keeps its place. Whether all was found.
pub fn settle(pdf: &mut [u8], date: Option<Date>) -> bool {
    number_nodes(pdf);
    sort_nodes(pdf);
    DATES.iter().all(|key| {
        let Some(start) = find(pdf, key.as_bytes(), 0) else { return false };
        let digits = start + key.len();
        let Some(end) = find(pdf, b")", digits) else { return false };
        match date {
            Some(date) => {
                let (year, month, day) = date.parts();
                let told = format!("{year:04}{month:02}{day:02}000000+00'00'");
                if told.len() != end - digits {
                    return false;
                }
                pdf[digits..end].copy_from_slice(told.as_bytes());
            }
            None => pdf[start..=end].fill(b' '),
        }
        true
    })
}

/// Numbers the parts that have a name in the order in which they are first named: the browser counts them anew
/// each time, from wherever it is.
fn number_nodes(pdf: &mut [u8]) {
    let (mut known, mut from) = (BTreeMap::new(), 0);
    while let Some(at) = find(pdf, NODE, from) {
        let start = at + NODE.len();
        let end = start + pdf[start..].iter().take_while(|byte| byte.is_ascii_digit()).count();
        let next = known.len() + 1;
        let number = known.entry(pdf[start..end].to_vec()).or_insert(next);
        let digits = format!("{number:0width$}", width = end - start);
        if digits.len() == end - start {
            pdf[start..end].copy_from_slice(digits.as_bytes());
        }
        from = end;
    }
}

/// How the list of all such parts begins: sorted by their names, and before it the first and the last of them.
const LIST: &[u8] = b"/Limits [(node";

/// Sorts the list of the parts by their new names, in the room that it has.
fn sort_nodes(pdf: &mut [u8]) {
    let mut from = 0;
    while let Some(limits) = find(pdf, LIST, from) {
        let place = |pdf: &[u8], start: usize| {
            let open = find(pdf, b"[", start)? + 1;
            Some(open..find(pdf, b"]", open)?)
        };
        let Some(ends) = place(pdf, limits) else { return };
        let Some(names) = place(pdf, ends.end) else { return };
        from = names.end;
        // `(node00000001) 542 0 R (node00000002) 544 0 R`
        let text = String::from_utf8_lossy(&pdf[names.clone()]).into_owned();
        let mut entries: Vec<_> =
            text.split('(').map(str::trim_end).filter(|entry| !entry.is_empty()).collect();
        entries.sort_unstable();
        let sorted = entries.iter().map(|entry| format!("({entry}")).collect::<Vec<_>>().join(" ");
        let name = |entry: Option<&&str>| {
            format!("({})", entry.and_then(|entry| entry.split(')').next()).unwrap_or_default())
        };
        let limits = format!("{} {}", name(entries.first()), name(entries.last()));
        if sorted.len() == names.len() && limits.len() == ends.len() {
            pdf[names].copy_from_slice(sorted.as_bytes());
            pdf[ends].copy_from_slice(limits.as_bytes());
        }
    }
}

/// The numbers of the pages, from one, on which the marks that are linked to stand. `None` where the file is of
/// another make.
pub fn pages_of_marks(pdf: &[u8]) -> Option<BTreeMap<String, usize>> {
    let pages = pages(pdf)?;
    let catalogue = object_with(pdf, "/Type /Catalog")?;
    let marks = object(pdf, reference(&catalogue, "/Dests ")?)?;
    let mut found = BTreeMap::new();
    // `/c0-0 [9 0 R /XYZ 6 826.1 0]`
    for entry in marks.split('/').filter(|entry| entry.contains('[')) {
        let (name, place) = entry.split_once('[')?;
        let page: usize = place.split_whitespace().next()?.parse().ok()?;
        found.insert(name.trim().to_owned(), pages.iter().position(|known| *known == page)? + 1);
    }
    Some(found)
}

/// How many pages there are.
pub fn count(pdf: &[u8]) -> Option<usize> {
    Some(pages(pdf)?.len())
}

/// The numbers of the objects that are pages, in their order.
fn pages(pdf: &[u8]) -> Option<Vec<usize>> {
    let catalogue = object_with(pdf, "/Type /Catalog")?;
    let (mut found, mut open) = (Vec::new(), vec![reference(&catalogue, "/Pages ")?]);
    while let Some(number) = open.pop() {
        let text = object(pdf, number)?;
        match text.split_once("/Kids [") {
            None => found.push(number),
            Some((_, kids)) => {
                let kids = kids.split(']').next()?.split("R").filter(|kid| !kid.trim().is_empty());
                let kids: Option<Vec<usize>> =
                    kids.map(|kid| kid.split_whitespace().next()?.parse().ok()).collect();
                open.extend(kids?.into_iter().rev());
            }
        }
        // More than any book has: a file that runs in a circle.
        if found.len() + open.len() > 100_000 {
            return None;
        }
    }
    Some(found)
}

/// The number of the object that a key names.
fn reference(text: &str, key: &str) -> Option<usize> {
    text.split_once(key)?.1.split_whitespace().next()?.parse().ok()
}

/// The text of an object, which holds no stream.
fn object(pdf: &[u8], number: usize) -> Option<String> {
    let head = format!("\n{number} 0 obj\n");
    let start = find(pdf, head.as_bytes(), 0)? + head.len();
    let end = find(pdf, b"endobj", start)?;
    Some(String::from_utf8_lossy(&pdf[start..end]).into_owned())
}

/// The text of the last object in which something stands.
fn object_with(pdf: &[u8], part: &str) -> Option<String> {
    let at = pdf.windows(part.len()).rposition(|window| window == part.as_bytes())?;
    let end = find(pdf, b"endobj", at)?;
    let start = pdf[..at].windows(4).rposition(|window| window == b"obj\n")?;
    Some(String::from_utf8_lossy(&pdf[start..end]).into_owned())
}

fn find(bytes: &[u8], what: &[u8], from: usize) -> Option<usize> {
    bytes.get(from..)?.windows(what.len()).position(|window| window == what).map(|at| from + at)
}

#[cfg(test)]
mod tests {
    use super::*;

    const PRINTED: &str = "%PDF-1.4\n1 0 obj\n<</Title (x)\n/CreationDate (D:20261129203427+00'00')\n/ModDate (D:20261129203427+00'00')>>\n\
        endobj\n2 0 obj\n<</Type /Page>>\nendobj\n9 0 obj\n<</Type /Page>>\nendobj\n12 0 obj\n<</Type /Page>>\nendobj\n\
        13 0 obj\n<</Type /Pages\n/Count 2\n/Kids [2 0 R 9 0 R]>>\nendobj\n14 0 obj\n<</Type /Pages\n/Kids [13 0 R 12 0 R]>>\nendobj\n\
        15 0 obj\n<</c0-0 [9 0 R /XYZ 6 826.1 0]\n/c1-0 [12 0 R /XYZ 6 8 0]>>\nendobj\n\
        40 0 obj\n<</Type /Catalog\n/Pages 14 0 R\n/Dests 15 0 R>>\nendobj\n";

    #[test]
    fn marks_are_found_on_their_pages() {
        let pages = pages_of_marks(PRINTED.as_bytes()).unwrap();
        assert_eq!(pages, BTreeMap::from([("c0-0".to_owned(), 2), ("c1-0".to_owned(), 3)]));
        assert_eq!(count(PRINTED.as_bytes()), Some(3));
        assert_eq!(pages_of_marks(b"%PDF-1.7 of another make"), None);
    }

    #[test]
    fn the_time_of_printing_goes_and_all_else_stays() {
        let mut bytes = PRINTED.as_bytes().to_vec();
        assert!(settle(&mut bytes, Date::parse("2027-03-01")));
        let text = String::from_utf8(bytes).unwrap();
        assert_eq!(text, PRINTED.replace("20261129203427", "20270301000000"));
        let mut bytes = PRINTED.as_bytes().to_vec();
        assert!(settle(&mut bytes, None));
        let text = String::from_utf8(bytes).unwrap();
        assert_eq!(text.len(), PRINTED.len());
        assert!(!text.contains("2026") && text.contains("(x)\n  "), "{text}");
        assert!(!settle(&mut b"%PDF".to_vec(), None));
    }

    #[test]
    fn parts_are_numbered_by_their_order() {
        let numbered = |text: &str| {
            let mut bytes = text.as_bytes().to_vec();
            number_nodes(&mut bytes);
            String::from_utf8(bytes).unwrap()
        };
        let once = numbered("/ID (node00000020) /ID (node00000031) /Headers [(node00000020)]");
        assert_eq!(once, "/ID (node00000001) /ID (node00000002) /Headers [(node00000001)]");
        assert_eq!(once, numbered("/ID (node00000041) /ID (node00000007) /Headers [(node00000041)]"));
    }

    #[test]
    fn the_list_of_parts_is_the_same_whichever_was_counted_first() {
        let settled = |first: &str, second: &str, list: &str| {
            let text = format!("/ID ({first}) /ID ({second})\n<</Limits [{list}]>>");
            let mut bytes = text.replace("LIST", "] /Names [").into_bytes();
            number_nodes(&mut bytes);
            sort_nodes(&mut bytes);
            String::from_utf8(bytes).unwrap()
        };
        let (a, b) = ("node00000031", "node00000032");
        let once = settled(a, b, &format!("({a}) ({b})LIST({a}) 542 0 R ({b}) 37 0 R"));
        let again = settled(b, a, &format!("({a}) ({b})LIST({a}) 37 0 R ({b}) 542 0 R"));
        assert_eq!(once, again);
        assert!(once.ends_with("/Limits [(node00000001) (node00000002)] /Names [(node00000001) 542 0 R (node00000002) 37 0 R]>>"), "{once}");
    }
}

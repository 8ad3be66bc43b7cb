//! Comma-separated values, RFC 4180: commas, quotation marks where a value needs them, and each line ended by
//! CR LF.
//!
//! A spreadsheet takes a value that begins like a sum for one, and reckons it when the file is opened. Words
//! that begin so get an apostrophe in front, which spreadsheets take for "this is text".

/// A line of values.
pub fn line<S: AsRef<str>>(values: impl IntoIterator<Item = S>) -> String {
    let values: Vec<_> = values.into_iter().map(|value| quoted(&inert(value.as_ref()))).collect();
    values.join(",") + "\r\n"
}

fn quoted(value: &str) -> String {
    if value.contains([',', '"', '\r', '\n']) {
        format!("\"{}\"", value.replace('"', "\"\""))
    } else {
        value.to_owned()
    }
}

/// A value that no spreadsheet takes for a sum; numbers stay as they are.
fn inert(value: &str) -> String {
    let is_sum = value.starts_with(['=', '+', '-', '@', '\t', '\r']) && value.parse::<f64>().is_err();
    if is_sum { format!("'{value}") } else { value.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_are_quoted_where_they_must_be() {
        assert_eq!(line(["a", "b,c", "d\"e", ""]), "a,\"b,c\",\"d\"\"e\",\r\n");
    }

    #[test]
    fn words_that_look_like_a_sum_are_text_and_numbers_stay() {
        assert_eq!(
            line(["=1+1", "+cmd|calc", "@sum", "-x", "-2.5e-3", "+4"]),
            "'=1+1,'+cmd|calc,'@sum,'-x,-2.5e-3,+4\r\n"
        );
        assert_eq!(line(["=a,b"]), "\"'=a,b\"\r\n");
    }
}

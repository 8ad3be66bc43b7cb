//! Comma-separated values, RFC 4180: commas, quotation marks where a value needs them, and each line ended by CR LF.

/// A line of values.
pub fn line<S: AsRef<str>>(values: impl IntoIterator<Item = S>) -> String {
    let quoted = |value: &str| {
        if value.contains([',', '"', '\r', '\n']) { format!("\"{}\"", value.replace('"', "\"\"")) } else { value.to_owned() }
    };
    let values: Vec<_> = values.into_iter().map(|value| quoted(value.as_ref())).collect();
    values.join(",") + "\r\n"
}

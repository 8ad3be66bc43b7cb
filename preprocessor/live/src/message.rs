//! Several texts as one run of bytes: before each its length, four bytes, the lowest first; then its UTF-8.

/// The texts of a message.
///
/// # Errors
/// Why the bytes are no message.
pub(crate) fn unpack(mut bytes: &[u8]) -> Result<Vec<&str>, &'static str> {
    let mut texts = Vec::new();
    while !bytes.is_empty() {
        let (length, rest) = bytes.split_first_chunk().ok_or("it ends within a length")?;
        let length = usize::try_from(u32::from_le_bytes(*length)).map_err(|_| "a text is too long")?;
        let (text, rest) = rest.split_at_checked(length).ok_or("it ends within a text")?;
        texts.push(std::str::from_utf8(text).map_err(|_| "a text is no UTF-8")?);
        bytes = rest;
    }
    Ok(texts)
}

/// A message of texts; none of them is near four gigabytes long.
pub(crate) fn pack(texts: impl IntoIterator<Item = impl AsRef<str>>) -> Vec<u8> {
    let mut bytes = Vec::new();
    for text in texts {
        let text = text.as_ref();
        bytes.extend((text.len() as u32).to_le_bytes());
        bytes.extend(text.as_bytes());
    }
    bytes
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn what_is_no_message_says_why() {
        assert_eq!(unpack(b""), Ok(Vec::new()));
        assert_eq!(unpack(b"\x01\0\0"), Err("it ends within a length"));
        assert_eq!(unpack(b"\x02\0\0\0a"), Err("it ends within a text"));
        assert_eq!(unpack(b"\xff\xff\xff\xffa"), Err("it ends within a text"));
        assert_eq!(unpack(b"\x01\0\0\0\xff"), Err("a text is no UTF-8"));
    }

    proptest! {
        #[test]
        fn texts_come_out_as_they_went_in(texts: Vec<String>) {
            let packed = pack(&texts);
            prop_assert_eq!(unpack(&packed), Ok(texts.iter().map(String::as_str).collect()));
        }
    }
}

//! The macro [`files!`](crate::files!).

use std::path::{Path, PathBuf};
use std::{env, fs, io};

use proc_macro2::{Span, TokenStream as Tokens};
use quote::quote;
use syn::parse::{Parse, ParseStream};
use syn::punctuated::Punctuated;
use syn::{Error, Ident, LitStr, Token};

/// Where the files are, and what of it is left out.
pub(crate) struct Named {
    folders: Vec<LitStr>,
    without: Vec<String>,
}

impl Parse for Named {
    fn parse(input: ParseStream<'_>) -> syn::Result<Self> {
        let folders = Punctuated::<LitStr, Token![,]>::parse_separated_nonempty(input)?;
        let mut without = Vec::new();
        if input.parse::<Option<Token![;]>>()?.is_some() {
            let word: Ident = input.parse()?;
            if word != "without" {
                return Err(Error::new(word.span(), "expected `without`"));
            }
            let names = Punctuated::<LitStr, Token![,]>::parse_separated_nonempty(input)?;
            without = names.iter().map(LitStr::value).collect();
        }
        Ok(Named { folders: folders.into_iter().collect(), without })
    }
}

pub(crate) fn expand(named: &Named) -> syn::Result<Tokens> {
    let here = PathBuf::from(env::var("CARGO_MANIFEST_DIR").unwrap_or_default());
    let folder = named.folders.iter().map(|folder| here.join(folder.value())).find(|folder| folder.is_dir());
    let wrong = |message: String| Error::new(Span::call_site(), message);
    let folder = folder.ok_or_else(|| wrong("none of these folders is there".to_owned()))?;
    let mut found = Vec::new();
    gather(&folder, "", &named.without, &mut found).map_err(|error| wrong(error.to_string()))?;
    found.sort();
    let entries = found.iter().map(|path| {
        let file = folder.join(path).to_string_lossy().into_owned();
        quote! { (#path, include_bytes!(#file)) }
    });
    Ok(quote! { &[#(#entries),*] })
}

/// The paths of all files, with forward slashes.
fn gather(folder: &Path, inside: &str, without: &[String], found: &mut Vec<String>) -> io::Result<()> {
    for entry in fs::read_dir(folder.join(inside))? {
        let name = entry?.file_name().to_string_lossy().into_owned();
        let path = if inside.is_empty() { name.clone() } else { format!("{inside}/{name}") };
        if name.starts_with('.') || without.contains(&path) {
            continue;
        }
        if folder.join(&path).is_dir() { gather(folder, &path, without, found)? } else { found.push(path) }
    }
    Ok(())
}

//! Words by their keys.

use std::path::Path;

use proc_macro2::TokenStream as Tokens;
use quote::{format_ident, quote};
use syn::parse::{Parse, ParseStream};
use syn::punctuated::Punctuated;
use syn::{Attribute, Error, Ident, LitStr, Token, Visibility};
use toml::de::DeTable;

/// `pub struct Words in "folder": topic, topic`.
pub(crate) struct Declared {
    attributes: Vec<Attribute>,
    visibility: Visibility,
    name: Ident,
    folder: LitStr,
    topics: Punctuated<Ident, Token![,]>,
}

impl Parse for Declared {
    fn parse(input: ParseStream<'_>) -> syn::Result<Self> {
        let attributes = input.call(Attribute::parse_outer)?;
        let visibility = input.parse()?;
        let _: Token![struct] = input.parse()?;
        let name = input.parse()?;
        let _: Token![in] = input.parse()?;
        let folder = input.parse()?;
        let _: Token![:] = input.parse()?;
        Ok(Declared { attributes, visibility, name, folder, topics: Punctuated::parse_terminated(input)? })
    }
}

pub(crate) fn expand(declared: Declared) -> syn::Result<Tokens> {
    let Declared { attributes, visibility, name, folder, topics } = declared;
    let root = std::env::var("CARGO_MANIFEST_DIR").map_err(|error| Error::new_spanned(&folder, error))?;
    let mut structs = Vec::new();
    let mut files = Vec::new();
    for topic in &topics {
        let path = Path::new(&root).join(folder.value()).join(format!("{topic}.toml"));
        let wrong = |why: String| Error::new_spanned(topic, format!("{}: {why}", path.display()));
        let text = std::fs::read_to_string(&path).map_err(|error| wrong(error.to_string()))?;
        let said = said(&text).map_err(wrong)?;
        structs.push(topic_struct(topic, &said));
        files.push(path.display().to_string());
    }
    let topics: Vec<_> = topics.into_iter().collect();
    let types: Vec<_> = topics.iter().map(camel_case).collect();
    let names: Vec<_> = topics.iter().map(ToString::to_string).collect();
    let docs: Vec<_> = names.iter().map(|name| format!("What is said of `{name}`.")).collect();
    Ok(quote! {
        #(#attributes)*
        #[derive(Debug, Clone)]
        #visibility struct #name {
            pub(crate) parts: std::sync::Arc<Parts>,
            #(#[doc = #docs] pub #topics: #types,)*
        }

        /// The topics, each with a file of its own.
        pub(super) const TOPICS: &[&str] = &[#(#names),*];

        /// The files as they were compiled in: topic and text. Without the feature `compiled-in` there are
        /// none.
        pub(super) const COMPILED_IN: &[(&str, &str)] = &[#(#[cfg(feature = "compiled-in")] (#names, include_str!(#files)),)*];

        impl #name {
            /// Reads the words of all topics; `None` where any of them is missing.
            pub(super) fn read(read: &mut dyn FnMut(&'static str, &'static [Key], &mut Parts) -> Option<Texts>) -> Option<Self> {
                let mut parts = Parts::default();
                let mut texts = Vec::new();
                #(texts.push(read(#names, #types::KEYS, &mut parts));)*
                let mut texts = texts.into_iter().collect::<Option<Vec<_>>>()?.into_iter();
                #(let #topics = #types(texts.next()?);)*
                Some(#name { #(#topics,)* parts: std::sync::Arc::new(parts) })
            }
        }

        #(#structs)*
    })
}

/// The keys of `[say]` with their texts, in the order of the keys.
fn said(text: &str) -> Result<Vec<(String, String)>, String> {
    let root = DeTable::parse(text).map_err(|error| error.to_string())?;
    let Some(say) = root.get_ref().get("say") else { return Ok(Vec::new()) };
    let table = say.get_ref().as_table().ok_or("`say` is a table")?;
    let said = table.iter().map(|(key, value)| {
        let text = value.get_ref().as_str().ok_or_else(|| format!("`say.{}` is a text", key.get_ref()))?;
        Ok((key.get_ref().to_string(), text.to_owned()))
    });
    let mut said: Vec<_> = said.collect::<Result<_, String>>()?;
    said.sort();
    Ok(said)
}

/// The names in braces, each once, in their order.
fn places(text: &str) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    for part in text.split('{').skip(1) {
        let name = part.split('}').next().unwrap_or_default();
        if !names.iter().any(|known| known == name) {
            names.push(name.to_owned());
        }
    }
    names
}

fn topic_struct(topic: &Ident, said: &[(String, String)]) -> Tokens {
    let name = camel_case(topic);
    let doc = format!("What is said of `{topic}`.");
    let keys = said.iter().map(|(key, text)| {
        let places = places(text);
        quote!((#key, &[#(#places),*]))
    });
    let functions = said.iter().enumerate().map(|(at, (key, text))| {
        let function = format_ident!("{key}", span = topic.span());
        let places: Vec<_> =
            places(text).iter().map(|place| format_ident!("{place}", span = topic.span())).collect();
        let doc = format!("`{text}`");
        if places.is_empty() {
            quote! {
                #[doc = #doc]
                pub(crate) fn #function(&self) -> &str {
                    self.0.text(#at)
                }
            }
        } else {
            quote! {
                #[doc = #doc]
                pub(crate) fn #function(&self, #(#places: impl std::fmt::Display),*) -> String {
                    self.0.filled(#at, &[#(&#places),*])
                }
            }
        }
    });
    quote! {
        #[doc = #doc]
        #[derive(Debug, Clone)]
        pub struct #name(Texts);

        impl #name {
            const KEYS: &'static [Key] = &[#(#keys),*];

            #(#functions)*
        }
    }
}

fn camel_case(name: &Ident) -> Ident {
    let words = name.to_string();
    let capitalised = words.split('_').map(|word| {
        let mut letters = word.chars();
        letters.next().into_iter().flat_map(char::to_uppercase).chain(letters).collect::<String>()
    });
    format_ident!("{}", capitalised.collect::<String>(), span = name.span())
}

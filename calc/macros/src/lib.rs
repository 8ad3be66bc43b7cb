//! The attribute [`macro@formula`], the arguments of formulas, [`macro@Argument`], the words that people read,
//! [`words!`], and folders that are compiled in: [`files!`].

mod files;
mod words;

use proc_macro::TokenStream;
use proc_macro2::TokenStream as Tokens;
use quote::{format_ident, quote};
use syn::ext::IdentExt;
use syn::parse::{Parse, ParseStream};
use syn::{
    Error, FnArg, Ident, ItemFn, ItemStruct, LitStr, Pat, PatType, ReturnType, Token, Type, parse_macro_input,
};

/// Makes a function a formula.
///
/// `#[formula("volume × turnover")]` says in words and signs what the function reckons; names in it are those
/// of its parameters. Each use is noted while a figure is reckoned, with what went in and what came out.
/// Beside the function a description of the same name in capitals is declared (`flow` has `FLOW`), by which a
/// check can ask the formula with inputs of its own. Its name is that of the file and of the function:
/// `turnover.flow`.
///
/// A parameter behind a reference is the rules that the formula reads; every other one is an input.
///
/// `#[formula(words "the text")]` is for what a check can not ask: lists, or things that are no quantity.
/// Only its use is noted.
#[proc_macro_attribute]
pub fn formula(attributes: TokenStream, item: TokenStream) -> TokenStream {
    let said = parse_macro_input!(attributes as Said);
    let function = parse_macro_input!(item as ItemFn);
    expand(&said, function).unwrap_or_else(Error::into_compile_error).into()
}

/// Makes a struct an argument of formulas: each of its fields is an input of the field's name.
#[proc_macro_derive(Argument)]
pub fn argument(item: TokenStream) -> TokenStream {
    let item = parse_macro_input!(item as ItemStruct);
    let name = &item.ident;
    let fields: Vec<_> = item.fields.iter().filter_map(|field| field.ident.as_ref()).collect();
    if fields.len() != item.fields.len() || fields.is_empty() {
        return Error::new_spanned(name, "an argument of formulas has fields with names")
            .into_compile_error()
            .into();
    }
    let types: Vec<_> = item.fields.iter().map(|field| &field.ty).collect();
    let keys: Vec<_> = fields.iter().map(|field| field.to_string()).collect();
    quote! {
        impl crate::formulas::Argument for #name {
            fn list(_: &'static str, inputs: &mut Vec<(&'static str, crate::quantity::Kind)>) {
                #(<#types as crate::formulas::Argument>::list(#keys, inputs);)*
            }

            fn take(_: &'static str, inputs: &crate::formulas::Inputs) -> Result<Self, crate::error::Error> {
                Ok(#name { #(#fields: crate::formulas::Argument::take(#keys, inputs)?,)* })
            }

            fn tell(&self, _: &'static str, inputs: &mut Vec<(&'static str, crate::quantity::Quantity)>) {
                #(crate::formulas::Argument::tell(&self.#fields, #keys, inputs);)*
            }
        }
    }
    .into()
}

/// Declares the words that people read, by their keys in the files that hold them.
///
/// `words! { pub struct Words in "rules/words": fit, plan }` reads `rules/words/fit.toml` and
/// `rules/words/plan.toml` of the crate. It makes a struct for each file, with one function for each key of
/// its table `[say]`, which takes what fills the `{places}` of the text in the order in which they first
/// stand there. So a key that no file has can not be written, and rustc tells a key that nobody says.
#[proc_macro]
pub fn words(item: TokenStream) -> TokenStream {
    words::expand(parse_macro_input!(item as words::Declared))
        .unwrap_or_else(Error::into_compile_error)
        .into()
}

/// The files of a folder, compiled in: a slice of their paths within it and of what they hold.
///
/// `files!("book", "../book"; without "book", "club.toml")` takes the first of these folders that is there, from
/// the folder of the crate, with all folders in it, but for the named ones and for names that begin with a dot.
/// A file that changes compiles again what says this; a new one is found with the next change.
#[proc_macro]
pub fn files(item: TokenStream) -> TokenStream {
    files::expand(&parse_macro_input!(item as files::Named)).unwrap_or_else(Error::into_compile_error).into()
}

/// What stands in the attribute.
struct Said {
    text: LitStr,
    is_asked: bool,
}

impl Parse for Said {
    fn parse(input: ParseStream<'_>) -> syn::Result<Self> {
        let word: Option<Ident> = input.parse()?;
        if let Some(word) = word.as_ref().filter(|word| *word != "words") {
            return Err(Error::new(word.span(), "write the formula in quotes, or `words` before it"));
        }
        let text = input.parse()?;
        let _: Option<Token![,]> = input.parse()?;
        Ok(Said { text, is_asked: word.is_none() })
    }
}

fn expand(said: &Said, function: ItemFn) -> syn::Result<Tokens> {
    let ItemFn { attrs, vis, sig, block } = function;
    let text = &said.text;
    let file = sig.ident.span().unwrap().file();
    let topic = file.rsplit(['/', '\\']).next().unwrap_or_default().trim_end_matches(".rs");
    let said_name = sig.ident.unraw();
    let name = format!("{topic}.{said_name}");
    let constant = format_ident!("{}", said_name.to_string().to_uppercase(), span = sig.ident.span());
    let ReturnType::Type(_, output) = &sig.output else {
        return Err(Error::new_spanned(&sig, "a formula gives something back"));
    };
    let mut given = Vec::new();
    let mut takes = Vec::new();
    let mut receiver = None;
    for parameter in &sig.inputs {
        match parameter {
            FnArg::Receiver(own) => {
                receiver = Some(own);
                given.push((quote!(Self), "self".to_owned(), quote!((*self))));
                takes.push(quote!(crate::formulas::Argument::take("self", inputs)?));
            }
            FnArg::Typed(PatType { pat, ty, .. }) => {
                let Pat::Ident(ident) = &**pat else {
                    return Err(Error::new_spanned(pat, "a parameter of a formula has a plain name"));
                };
                let ident = &ident.ident;
                if let Type::Reference(reference) = &**ty {
                    let rules = &reference.elem;
                    takes.push(quote!(AsRef::<#rules>::as_ref(rules)));
                } else {
                    let key = ident.to_string();
                    takes.push(quote!(crate::formulas::Argument::take(#key, inputs)?));
                    given.push((quote!(#ty), key, quote!(#ident)));
                }
            }
        }
    }
    let call = if said.is_asked {
        let notes = given
            .iter()
            .map(|(_, key, value)| quote!(crate::formulas::Argument::tell(&#value, #key, &mut inputs);));
        quote! {
            let mut inputs = Vec::new();
            #(#notes)*
        }
    } else {
        quote!(let inputs = Vec::new();)
    };
    let body = quote! {
        {
            crate::trace::formula(#name, move || #block, move |value| {
                #call
                let output = crate::formulas::Answer::quantity(value)?;
                Some(crate::trace::Call { formula: #name, text: #text, inputs, output })
            })
        }
    };
    let described = if said.is_asked {
        let types = given
            .iter()
            .map(|(ty, key, _)| quote!(<#ty as crate::formulas::Argument>::list(#key, &mut inputs);));
        let ident = &sig.ident;
        let path = if receiver.is_some() { quote!(Self::#ident) } else { quote!(#ident) };
        let takes = takes.iter().enumerate().map(|(at, take)| match (at, receiver) {
            (0, Some(own)) if own.reference.is_some() => quote!(&#take),
            _ => take.clone(),
        });
        let doc = format!("[`{}`](Self::{}) as a check asks it.", sig.ident, sig.ident);
        let doc = if receiver.is_some() { doc } else { format!("[`{}`] as a check asks it.", sig.ident) };
        quote! {
            #[doc = #doc]
            #vis const #constant: crate::formulas::Formula = crate::formulas::Formula {
                name: #name,
                text: #text,
                inputs: || {
                    let mut inputs = Vec::new();
                    #(#types)*
                    inputs
                },
                output: <#output as crate::formulas::Answer>::KIND,
                reckon: |rules, inputs| crate::formulas::Answer::answer(#path(#(#takes),*)),
            };
        }
    } else {
        Tokens::new()
    };
    Ok(quote! {
        #described
        #(#attrs)*
        #vis #sig #body
    })
}

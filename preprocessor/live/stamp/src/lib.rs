//! What the WebAssembly is made from, as one number: so that one of other sources is found, and never shown.
//!
//! The WebAssembly stands in the repository beside a stamp. The stamp holds the sum of all that went in: the
//! sources of its crates, what their manifests and the lock file say of them and of the crates they use, the
//! profile, and the keys of the words with their places. Rules, words, pumps, tanks and pages do not go in,
//! nor do tests: whoever changes them need not make it anew.

use std::collections::BTreeSet;
use std::fmt;
use std::fs;
use std::io::{self, Error};
use std::path::{Path, PathBuf};

use sha2::{Digest, Sha256};
use toml::{Table, Value};

/// The crates whose sources go in, the one that is built first.
const CRATES: [&str; 4] = ["preprocessor/live", "preprocessor/page", "calc", "calc/macros"];
/// Where the keys of the words stand.
const WORDS: &str = "calc/rules/words";

/// The WebAssembly, packed with gzip.
pub const WASM: &str = "preprocessor/live/reckoner.wasm.gz";
/// The stamp beside it.
pub const STAMP: &str = "preprocessor/live/reckoner.stamp";

/// What a WebAssembly was made from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stamp {
    /// The sum of all that went in.
    pub inputs: String,
    /// The sum of what came out.
    pub wasm: String,
    /// The compiler, with its version.
    pub rustc: String,
}

impl Stamp {
    /// The stamp for the sources and the WebAssembly as they are.
    ///
    /// # Errors
    /// A file that can not be read.
    pub fn now(root: &Path, rustc: &str) -> io::Result<Self> {
        Ok(Stamp { inputs: inputs(root)?, wasm: sum(&fs::read(root.join(WASM))?), rustc: rustc.to_owned() })
    }

    /// The stamp as it stands beside the WebAssembly; `None` where the file is no stamp.
    ///
    /// # Errors
    /// The file can not be read.
    pub fn written(root: &Path) -> io::Result<Option<Self>> {
        Stamp::read(&root.join(STAMP))
    }

    fn read(stamp: &Path) -> io::Result<Option<Self>> {
        let text = fs::read_to_string(stamp)?;
        let value = |name: &str| {
            text.lines().find_map(|line| line.strip_prefix(name)).map(|value| value.trim().to_owned())
        };
        let stamp =
            || Some(Stamp { inputs: value("inputs ")?, wasm: value("wasm ")?, rustc: value("rustc ")? });
        Ok(stamp())
    }

    /// Whether the WebAssembly and its stamp belong together and to the sources as they are.
    ///
    /// # Errors
    /// A file that can not be read.
    pub fn is_fresh(root: &Path) -> io::Result<bool> {
        let written = Stamp::written(root)?;
        Ok(written.is_some_and(|written| Stamp::now(root, &written.rustc).is_ok_and(|now| now == written)))
    }

    /// Whether a stamp is that of a WebAssembly, where the sources are not there.
    ///
    /// # Errors
    /// A file that can not be read.
    pub fn is_of(stamp: &Path, wasm: &Path) -> io::Result<bool> {
        let sum = sum(&fs::read(wasm)?);
        Ok(Stamp::read(stamp)?.is_some_and(|stamp| stamp.wasm == sum))
    }
}

impl fmt::Display for Stamp {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(f, "inputs {}\nwasm {}\nrustc {}", self.inputs, self.wasm, self.rustc)
    }
}

/// The sum of all that goes in.
fn inputs(root: &Path) -> io::Result<String> {
    let mut hasher = Sha256::new();
    for (name, text) in parts(root)? {
        // Line ends are as the checkout has them.
        let text = text.replace('\r', "");
        hasher.update(format!("{name}\n{}\n{text}", text.len()));
    }
    Ok(hex(&hasher.finalize()))
}

fn sum(bytes: &[u8]) -> String {
    hex(&Sha256::digest(bytes))
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// The files that are read for the sum, and folders in which others may come up.
pub fn watched() -> impl Iterator<Item = String> {
    let crates = CRATES.iter().flat_map(|folder| [format!("{folder}/Cargo.toml"), format!("{folder}/src")]);
    crates.chain(["Cargo.toml", "Cargo.lock", ".cargo/config.toml", WORDS, WASM, STAMP].map(str::to_owned))
}

/// All that goes in, each with its name.
fn parts(root: &Path) -> io::Result<Vec<(String, String)>> {
    let mut parts = Vec::new();
    let mut used = BTreeSet::new();
    for folder in CRATES {
        let manifest = read(root, &format!("{folder}/Cargo.toml"))?;
        used.extend(part(&manifest, &["dependencies"]).keys().cloned());
        parts.push((format!("{folder}/Cargo.toml"), of_build(&manifest)));
        let mut files = sources(&root.join(folder).join("src"))?;
        files.sort();
        for file in files {
            let name = file.strip_prefix(root).unwrap_or(&file).to_string_lossy().replace('\\', "/");
            parts.push((name, fs::read_to_string(&file)?));
        }
    }
    let workspace = read(root, "Cargo.toml")?;
    parts.push(("the workspace".to_owned(), of_workspace(&workspace, &used)));
    parts.push(("the lock".to_owned(), locked(&read(root, "Cargo.lock")?, &used)));
    let flags = read(root, ".cargo/config.toml")?.get("target").map_or_else(String::new, Value::to_string);
    parts.push(("the flags".to_owned(), flags));
    parts.push(("the keys of the words".to_owned(), keys_of_words(root)?));
    Ok(parts)
}

fn read(root: &Path, name: &str) -> io::Result<Table> {
    fs::read_to_string(root.join(name))?.parse().map_err(|error| Error::other(format!("{name}: {error}")))
}

/// The table of the given path; empty where there is none.
fn part(whole: &Table, path: &[&str]) -> Table {
    let step =
        |table: Table, key: &&str| table.get(*key).and_then(Value::as_table).cloned().unwrap_or_default();
    path.iter().fold(whole.clone(), step)
}

/// The sources in a folder, but for files that hold tests alone.
fn sources(folder: &Path) -> io::Result<Vec<PathBuf>> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        if path.is_dir() {
            found.extend(sources(&path)?);
        } else if path.extension().is_some_and(|extension| extension == "rs") && !path.ends_with("tests.rs") {
            found.push(path);
        }
    }
    Ok(found)
}

/// What a crate's manifest says of how it is built.
fn of_build(manifest: &Table) -> String {
    ["lib", "features", "dependencies"].map(|name| format!("[{name}]\n{}", part(manifest, &[name]))).concat()
}

/// What the workspace says of the crates and of those that they use.
fn of_workspace(workspace: &Table, used: &BTreeSet<String>) -> String {
    let mut dependencies = part(workspace, &["workspace", "dependencies"]);
    dependencies.retain(|name, _| used.contains(name));
    let parts =
        [part(workspace, &["workspace", "package"]), dependencies, part(workspace, &["profile", "release"])];
    parts.iter().chain([&part(workspace, &["profile", "wasm"])]).map(|part| format!("{part}\n")).collect()
}

/// The entries of the lock file for the given crates, and for all that they use.
fn locked(lock: &Table, used: &BTreeSet<String>) -> String {
    let packages: Vec<&Table> = lock
        .get("package")
        .and_then(Value::as_array)
        .into_iter()
        .flatten()
        .filter_map(Value::as_table)
        .collect();
    let text =
        |package: &Table, key: &str| package.get(key).and_then(Value::as_str).unwrap_or_default().to_owned();
    let mut open: Vec<String> = used.iter().cloned().collect();
    let mut found = BTreeSet::new();
    while let Some(wanted) = open.pop() {
        // A crate that is there in several versions is named with its own.
        let (name, version) =
            wanted.split_once(' ').map_or((wanted.as_str(), None), |(name, version)| (name, Some(version)));
        let is_wanted = |package: &&&Table| {
            text(package, "name") == name && version.is_none_or(|version| text(package, "version") == version)
        };
        // The crates of this project are listed with what their tests use.
        for package in packages.iter().filter(is_wanted).filter(|package| package.contains_key("source")) {
            if found.insert(["name", "version", "checksum"].map(|key| text(package, key)).join(" ")) {
                let names = package
                    .get("dependencies")
                    .and_then(Value::as_array)
                    .into_iter()
                    .flatten()
                    .filter_map(Value::as_str);
                open.extend(names.map(str::to_owned));
            }
        }
    }
    found.into_iter().map(|line| line + "\n").collect()
}

/// The keys of what the words say, each with its places: code is made from these, and from nothing else of
/// the words.
fn keys_of_words(root: &Path) -> io::Result<String> {
    let mut names: Vec<_> = fs::read_dir(root.join(WORDS))?
        .map(|entry| Ok(entry?.file_name().to_string_lossy().into_owned()))
        .collect::<io::Result<_>>()?;
    names.sort();
    let mut keys = String::new();
    for name in names {
        for (key, text) in part(&read(root, &format!("{WORDS}/{name}"))?, &["say"]) {
            let places = text
                .as_str()
                .unwrap_or_default()
                .split('{')
                .skip(1)
                .map(|rest| rest.split('}').next().unwrap_or_default());
            keys.push_str(&format!("{name} {key} {}\n", places.collect::<Vec<_>>().join(" ")));
        }
    }
    Ok(keys)
}

#[cfg(test)]
mod tests;

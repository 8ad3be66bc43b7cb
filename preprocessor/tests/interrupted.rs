//! A build that is cut off at any instant leaves the old site or the new one, whole, and the next build
//! sweeps up behind it.
//!
//! A few instants are tried each time; `RECKONER_KILLS=200 cargo test -p mdbook-reckoner --test interrupted`
//! tries more.

// A test that can not get what it needs has failed.
#![allow(clippy::unwrap_used)]

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

fn repository() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// The command that builds the book for a tank of the book.
fn build(tank: &str, site: &Path) -> Command {
    let mut build = Command::new(env!("CARGO_BIN_EXE_reckoner"));
    build
        .current_dir(repository())
        .args(["build", "--tank", &format!("book/tanks/{tank}.toml"), "--output"])
        .arg(site);
    build.stdout(Stdio::null()).stderr(Stdio::null());
    build
}

/// The parts of one that the golden section gives: they fill the whole evenly, however many are taken.
fn golden(step: u32) -> f64 {
    (f64::from(step) * 0.618_033_988_749_895).fract()
}

fn files(folder: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    let mut found = BTreeMap::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(files(&path))
        } else {
            drop(found.insert(path.clone(), fs::read(&path).unwrap()))
        }
    }
    found
}

#[test]
fn a_build_cut_off_at_any_instant_leaves_one_whole_site() {
    let folder = tempfile::tempdir().unwrap();
    let site = folder.path().join("site");
    let whole = |tank: &str| {
        let start = Instant::now();
        assert!(build(tank, &site).status().unwrap().success());
        (files(&site), start.elapsed())
    };
    let (one, _) = whole("small_cube");
    let (other, takes) = whole("first_reef");
    assert!(one != other);
    let kills = std::env::var("RECKONER_KILLS").ok().and_then(|kills| kills.parse().ok()).unwrap_or(8_u32);
    for kill in 0..kills {
        let mut child =
            build(if kill % 2 == 0 { "small_cube" } else { "first_reef" }, &site).spawn().unwrap();
        std::thread::sleep(Duration::from_secs_f64(1.05 * takes.as_secs_f64() * golden(kill)));
        // It may be done already.
        let _ = child.kill();
        child.wait().unwrap();
        let now = files(&site);
        assert!(now == one || now == other, "after kill {kill} the site is neither the one nor the other");
    }
    assert!(whole("small_cube").0 == one);
    let left: Vec<_> = fs::read_dir(folder.path()).unwrap().map(|entry| entry.unwrap().file_name()).collect();
    assert_eq!(left, ["site"], "something is left of the builds that were cut off");
}

#[test]
fn what_somebody_put_into_a_site_is_not_deleted() {
    let folder = tempfile::tempdir().unwrap();
    let site = folder.path().join("site");
    assert!(build("small_cube", &site).status().unwrap().success());
    fs::write(site.join("notes.txt"), "mine").unwrap();
    let refused = build("small_cube", &site).stderr(Stdio::piped()).output().unwrap();
    assert_eq!(refused.status.code(), Some(2));
    let told = String::from_utf8_lossy(&refused.stderr).into_owned();
    assert!(told.contains("such as `notes.txt`") && told.contains("move them elsewhere"), "{told}");
    assert_eq!(fs::read_to_string(site.join("notes.txt")).unwrap(), "mine");
}

#[test]
fn a_hidden_folder_of_somebody_else_is_left_alone() {
    let folder = tempfile::tempdir().unwrap();
    let (theirs, ours) = (folder.path().join(".reckoner-theirs"), folder.path().join(".reckoner-ours"));
    for (hidden, name) in [(&theirs, "notes.txt"), (&ours, "new")] {
        fs::create_dir(hidden).unwrap();
        fs::write(hidden.join(name), "").unwrap();
    }
    assert!(build("small_cube", &folder.path().join("site")).status().unwrap().success());
    assert!(theirs.join("notes.txt").exists() && !ours.exists());
}

//! `reckoner gather`: what many tanks measured, as one table.

// A test that can not get what it needs has failed.
#![allow(clippy::unwrap_used)]

mod common;

use std::fs;
use std::path::Path;

use common::{reckoner, stderr};
use tempfile::TempDir;

/// A folder with a tank file for each given bucket, in litres a minute, and one in which nothing was measured.
fn club(buckets: &[f64]) -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    let tank = |name: &str, measured: &str| {
        format!(
            "name = \"{name}\"\nglass = {{ shape = \"box\", length = \"90 cm\", width = \"45 cm\", height = \"45 cm\", pane = \"8 mm\" }}\n\
             livestock = {{ now = \"soft\" }}\n[return]\nlift = \"1.2 m\"\nlength = \"1.6 m\"\nbore = \"21.2 mm\"\nelbows = 3\n\
             pump_flow = \"2500 L/h\"\npump_head = \"2.6 m\"\npump_power = \"25 W\"\n{measured}"
        )
    };
    for (at, litres) in buckets.iter().enumerate() {
        let measured = format!("[measured]\nbucket = \"{litres} L\"\nbucket_time = \"60 s\"\n");
        fs::write(folder.path().join(format!("{at}.toml")), tank(&format!("Tank {at}"), &measured)).unwrap();
    }
    fs::write(folder.path().join("bare.toml"), tank("Bare", "")).unwrap();
    folder
}

fn gathered(folder: &Path, arguments: &[&str]) -> String {
    let output = reckoner(folder, &[&["gather"], arguments].concat());
    assert!(output.status.success(), "{}", stderr(&output));
    String::from_utf8(output.stdout).unwrap()
}

#[test]
fn the_median_and_the_range_of_each_figure() {
    let folder = club(&[30.0, 10.0, 20.0]);
    let table = gathered(folder.path(), &["0.toml", "1.toml", "2.toml"]);
    let lines: Vec<_> = table.trim_end().lines().collect();
    assert_eq!((lines[0], lines.len()), ("figure,title,tanks,median,lowest,highest", 2), "{table}");
    // The title has a comma in it, and is quoted.
    let mut values = lines[1].rsplit(',').take(3).map(|value| value.parse::<f64>().unwrap());
    let [highest, lowest, median] = [(); 3].map(|()| values.next().unwrap());
    assert!(lines[1].starts_with("flow,\"Flow of the return, ") && lines[1].contains("\",3,"), "{table}");
    // All three tanks are alike, so that their ratios go as their buckets.
    assert!((lowest / median - 0.5).abs() < 2e-3 && (highest / median - 1.5).abs() < 2e-3, "{table}");
}

#[test]
fn a_file_is_written_whole_and_tanks_without_measurements_are_told() {
    let folder = club(&[20.0]);
    let output = reckoner(folder.path(), &["gather", "0.toml", "bare.toml", "--out", "club.csv"]);
    assert!(output.status.success() && output.stdout.is_empty(), "{}", stderr(&output));
    let told = stderr(&output);
    assert!(
        told.contains("bare.toml: nothing in it was measured") && told.contains("1 of 2 tanks"),
        "{told}"
    );
    let written = fs::read_to_string(folder.path().join("club.csv")).unwrap();
    assert_eq!(written, gathered(folder.path(), &["0.toml"]));
}

/// What is written is made beside the file it becomes: the folder one stands in may be another's.
#[cfg(target_os = "linux")]
#[test]
fn a_file_is_written_from_a_folder_in_which_nobody_can_write() {
    let folder = club(&[20.0]);
    let path = |name: &str| folder.path().join(name).display().to_string();
    let output = reckoner(Path::new("/proc"), &["gather", &path("0.toml"), "--out", &path("club.csv")]);
    assert!(output.status.success(), "{}", stderr(&output));
    assert!(folder.path().join("club.csv").exists());
}

#[test]
fn what_is_wrong_in_all_files_is_told_in_one_run() {
    let folder = club(&[20.0]);
    fs::write(folder.path().join("wrong.toml"), "name = 3\n").unwrap();
    fs::copy(folder.path().join("0.toml"), folder.path().join("again.toml")).unwrap();
    let files = ["gather", "0.toml", "again.toml", "wrong.toml", "gone.toml", "--out", "club.csv"];
    let output = reckoner(folder.path(), &files);
    assert_eq!(output.status.code(), Some(2));
    let told = stderr(&output);
    for part in
        ["`again.toml` and `0.toml` are of one tank, `Tank 0`", "wrong.toml:1", "`gone.toml` is missing"]
    {
        assert!(told.contains(part), "{part:?} is not in:\n{told}");
    }
    assert!(!folder.path().join("club.csv").exists());
}

#[test]
fn where_nothing_was_measured_at_all_it_says_what_to_write() {
    let folder = club(&[]);
    let output = reckoner(folder.path(), &["gather", "bare.toml"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(stderr(&output).contains("write a table [measured]"), "{}", stderr(&output));
}

use super::*;

fn repository() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../..")
}

#[test]
fn sources_locks_and_flags_go_in_and_tests_and_rules_do_not() {
    let parts = parts(&repository()).unwrap();
    let names: Vec<_> = parts.iter().map(|(name, _)| name.as_str()).collect();
    for wanted in [
        "calc/src/lib.rs",
        "calc/src/figures/plan.rs",
        "calc/macros/src/lib.rs",
        "preprocessor/live/src/boundary.rs",
        "calc/Cargo.toml",
    ] {
        assert!(names.contains(&wanted), "{wanted}: {names:?}");
    }
    assert!(
        !names.iter().any(|name| name.contains("tests") || name.contains(".toml") && name.contains("rules")),
        "{names:?}"
    );
    let text = |name: &str| &parts.iter().find(|(other, _)| other == name).unwrap().1;
    let lock = text("the lock");
    for (name, is_in) in [
        ("toml ", true),
        ("winnow ", true),
        ("maud ", true),
        ("syn ", true),
        ("proptest ", false),
        ("mdbook-driver ", false),
    ] {
        assert_eq!(lock.lines().any(|line| line.starts_with(name)), is_in, "{name}:\n{lock}");
    }
    let workspace = text("the workspace");
    assert!(
        workspace.contains("panic = \"abort\"")
            && workspace.contains("uom")
            && !workspace.contains("tempfile"),
        "{workspace}"
    );
    assert!(!text("calc/Cargo.toml").contains("proptest"));
    assert!(text("the flags").contains("wasm32-unknown-unknown"));
    let keys = text("the keys of the words");
    assert!(keys.lines().count() > 100 && !keys.contains("The "), "{keys}");
}

#[test]
fn files_of_tests_are_compiled_for_tests_alone() {
    for folder in CRATES {
        for file in sources(&repository().join(folder).join("src")).unwrap() {
            let text = fs::read_to_string(&file).unwrap();
            for (at, _) in text.match_indices("mod tests;") {
                let before = text[..at].trim_end_matches("pub(crate) ").trim_end();
                assert!(before.ends_with("#[cfg(test)]"), "{}", file.display());
            }
        }
    }
}

#[test]
fn line_ends_are_no_change_and_each_other_byte_is_one() {
    let folder = std::env::temp_dir().join(format!("reckoner-stamp-{}", std::process::id()));
    let copy = |name: &str, change: &dyn Fn(String) -> String| {
        let to = folder.join(name);
        fs::create_dir_all(to.parent().unwrap()).unwrap();
        fs::write(to, change(fs::read_to_string(repository().join(name)).unwrap())).unwrap();
    };
    let as_it_is = |text: String| text;
    for name in ["Cargo.toml", "Cargo.lock", ".cargo/config.toml", "calc/rules/words/plan.toml"] {
        copy(name, &as_it_is);
    }
    for name in CRATES {
        copy(&format!("{name}/Cargo.toml"), &as_it_is);
        copy(&format!("{name}/src/lib.rs"), &as_it_is);
    }
    let before = inputs(&folder).unwrap();
    copy("calc/src/lib.rs", &|text| text.replace('\n', "\r\n"));
    assert_eq!(inputs(&folder).unwrap(), before);
    copy("calc/src/lib.rs", &|text| text + " ");
    assert_ne!(inputs(&folder).unwrap(), before);
    copy("calc/src/lib.rs", &as_it_is);
    // Another text is none for the code, another place is one.
    copy("calc/rules/words/plan.toml", &|text| text.replace("[say]", "[say]\nnew = \"Of {one} and {two}\""));
    let with_key = inputs(&folder).unwrap();
    copy("calc/rules/words/plan.toml", &|text| text.replace("[say]", "[say]\nnew = \"From {one} to {two}\""));
    assert_eq!(inputs(&folder).unwrap(), with_key);
    copy("calc/rules/words/plan.toml", &|text| text.replace("[say]", "[say]\nnew = \"From {two} to {one}\""));
    assert_ne!(inputs(&folder).unwrap(), with_key);
    fs::remove_dir_all(folder).unwrap();
}

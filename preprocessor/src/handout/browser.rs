//! Prints a page as PDF with the browser that is found, Chromium or Chrome.

use std::env;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::thread;
use std::time::{Duration, Instant};

use tempfile::TempDir;

use crate::diagnostic::{Diagnostic, Diagnostics};

/// What the program is called where it can be called by its name.
const NAMES: [&str; 5] = ["chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome"];
/// Where it stands where it can not.
const PLACES: [&str; 4] = [
    "/Applications/Chromium.app/Contents/MacOS/Chromium",
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
    "C:/Program Files/Google/Chrome/Application/chrome.exe",
    "C:/Program Files (x86)/Google/Chrome/Application/chrome.exe",
];
/// A page that takes longer than this will never be printed.
const PATIENCE: Duration = Duration::from_secs(120);

/// A browser that prints.
#[derive(Debug)]
pub struct Browser {
    program: PathBuf,
    /// Where it puts what it needs while it works.
    folder: TempDir,
}

impl Browser {
    /// The first one that this machine has.
    ///
    /// # Errors
    /// There is no room for what it needs while it works.
    pub fn find() -> Result<Option<Self>, Diagnostics> {
        let folders: Vec<_> = env::var_os("PATH").iter().flat_map(env::split_paths).collect();
        let named = NAMES.iter().flat_map(|name| folders.iter().map(move |folder| folder.join(name)));
        let all = named.chain(PLACES.iter().map(PathBuf::from));
        let Some(program) = all.into_iter().find(|file| file.is_file()) else { return Ok(None) };
        let folder = tempfile::tempdir()
            .map_err(|error| Diagnostic::plain(format!("there is no room to print in: {error}")))?;
        Ok(Some(Browser { program, folder }))
    }

    /// Prints a file, named by its whole path.
    ///
    /// # Errors
    /// It prints nothing, or not in time.
    pub fn print(&self, page: &Path) -> Result<Vec<u8>, Diagnostics> {
        let pdf = self.folder.path().join("printed.pdf");
        // Inside a container, or for the superuser, a browser can not shut its pages in. Ours run no script and
        // load nothing.
        for closed in [true, false] {
            let done = self.run(page, &pdf, closed)?;
            if done && let Ok(bytes) = fs::read(&pdf) {
                _ = fs::remove_file(&pdf);
                return Ok(bytes);
            }
        }
        let message = format!("`{}` could not print `{}`", self.program.display(), page.display());
        Err(Diagnostic::plain(message)
            .hint("print the HTML by hand, or ask for it alone with `--no-pdf`")
            .into())
    }

    fn run(&self, page: &Path, pdf: &Path, closed: bool) -> Result<bool, Diagnostics> {
        let cannot = |error: std::io::Error| {
            Diagnostics::from(Diagnostic::plain(format!("cannot run `{}`: {error}", self.program.display())))
        };
        let mut command = Command::new(&self.program);
        command
            .args([
                "--headless",
                "--disable-gpu",
                "--disable-extensions",
                "--no-first-run",
                "--no-pdf-header-footer",
            ])
            .args(["--host-resolver-rules=MAP * ~NOTFOUND", "--font-render-hinting=none"])
            .arg(format!("--user-data-dir={}", self.folder.path().join("profile").display()))
            .arg(format!("--print-to-pdf={}", pdf.display()));
        if !closed {
            command.arg("--no-sandbox");
        }
        let mut child = command
            .arg(page)
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .map_err(cannot)?;
        let begun = Instant::now();
        loop {
            if let Some(status) = child.try_wait().map_err(cannot)? {
                return Ok(status.success());
            }
            if begun.elapsed() > PATIENCE {
                _ = child.kill();
                _ = child.wait();
                return Ok(false);
            }
            thread::sleep(Duration::from_millis(20));
        }
    }
}

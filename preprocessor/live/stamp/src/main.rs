//! Prints the stamp of the WebAssembly as it lies in the repository: `reckoner-stamp "$(rustc --version)"`,
//! with the compiler that made it.

use std::path::Path;
use std::process::ExitCode;

use reckoner_stamp::Stamp;

fn main() -> ExitCode {
    let Some(rustc) = std::env::args().nth(1) else {
        eprintln!("say which compiler made the WebAssembly: reckoner-stamp \"$(rustc --version)\"");
        return ExitCode::from(2);
    };
    match Stamp::now(&Path::new(env!("CARGO_MANIFEST_DIR")).join("../../.."), &rustc) {
        Ok(stamp) => {
            #[expect(clippy::print_stdout, reason = "it is what the program is for")]
            {
                print!("{stamp}");
            }
            ExitCode::SUCCESS
        }
        Err(error) => {
            eprintln!("the WebAssembly can not be stamped: {error}");
            ExitCode::FAILURE
        }
    }
}

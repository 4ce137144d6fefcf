//! A folder of its own for every test, and the command run in it.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// A folder that is taken away at the end.
pub struct Scratch(PathBuf);

/// What a run said and how it ended.
pub struct Said {
    pub code: Option<i32>,
    pub out: String,
    pub err: String,
}

impl Scratch {
    pub fn new(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("apoyando-{name}-{}", std::process::id()));
        let _ = fs::remove_dir_all(&path);
        fs::create_dir_all(&path).unwrap();
        Self(path)
    }

    pub fn path(&self) -> &Path {
        &self.0
    }

    pub fn write(&self, file: &str, content: impl AsRef<[u8]>) {
        let path = self.0.join(file);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, content).unwrap();
    }

    pub fn read(&self, file: &str) -> String {
        fs::read_to_string(self.0.join(file)).unwrap()
    }

    pub fn edit(&self, file: &str, from: &str, to: &str) {
        let text = self.read(file);
        assert!(text.contains(from), "{file} has no {from:?}");
        self.write(file, text.replacen(from, to, 1));
    }

    pub fn run(&self, arguments: &[&str]) -> Said {
        let Output { status, stdout, stderr } = Command::new(env!("CARGO_BIN_EXE_apoyando"))
            .args(arguments)
            .current_dir(&self.0)
            .output()
            .unwrap();
        let said = Said {
            code: status.code(),
            out: String::from_utf8(stdout).unwrap(),
            err: String::from_utf8(stderr).unwrap(),
        };
        assert!(!said.err.contains("panicked"), "{}", said.err);
        said
    }

    /// Every file below the folder, relative to it, in order.
    pub fn files(&self) -> Vec<String> {
        let mut files = Vec::new();
        let mut folders = vec![self.0.clone()];
        while let Some(folder) = folders.pop() {
            for entry in fs::read_dir(folder).unwrap() {
                let path = entry.unwrap().path();
                if path.is_dir() {
                    folders.push(path);
                } else {
                    files.push(path.strip_prefix(&self.0).unwrap().display().to_string());
                }
            }
        }
        files.sort();
        files
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

impl Said {
    /// Asserts how it ended and what was said on the error channel.
    #[track_caller]
    pub fn fails(&self, code: i32, says: &[&str]) {
        assert_eq!(self.code, Some(code), "{}\n{}", self.out, self.err);
        for said in says {
            let all = format!("{}\n{}", self.out, self.err);
            assert!(all.contains(said), "not said: {said}\n{all}");
        }
    }

    #[track_caller]
    pub fn succeeds(&self) {
        assert_eq!(self.code, Some(0), "{}\n{}", self.out, self.err);
    }
}

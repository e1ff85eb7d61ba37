//! Runs other programs from the workspace's root.

use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Command, Stdio};
use std::sync::mpsc::RecvTimeoutError;
use std::time::{Duration, Instant};

/// The cargo that runs this task.
pub fn cargo() -> String {
    std::env::var("CARGO").unwrap_or_else(|_| "cargo".into())
}

/// Runs a program whose output goes straight to the terminal.
///
/// # Errors
/// When it cannot be started or ends with another code than 0.
pub fn straight(root: &Path, program: &str, arguments: &[&str]) -> Result<(), String> {
    let shown = shown(program, arguments);
    let status = Command::new(program)
        .args(arguments)
        .current_dir(root)
        .status()
        .map_err(|e| format!("could not start `{shown}`: {e}"))?;
    if status.success() { Ok(()) } else { Err(format!("`{shown}` failed ({status})")) }
}

/// Runs a program and hands over each line of its standard output as it comes; its other output goes to the terminal.
/// Answers whether it ended with code 0.
///
/// # Errors
/// When it cannot be started or read.
pub fn lines(root: &Path, program: &str, arguments: &[&str], mut line: impl FnMut(&str)) -> Result<bool, String> {
    let shown = shown(program, arguments);
    let mut child = Command::new(program)
        .args(arguments)
        .current_dir(root)
        .stdout(Stdio::piped())
        .spawn()
        .map_err(|e| format!("could not start `{shown}`: {e}"))?;
    if let Some(output) = child.stdout.take() {
        for raw in BufReader::new(output).split(b'\n') {
            let raw = raw.map_err(|e| format!("could not read from `{shown}`: {e}"))?;
            line(&String::from_utf8_lossy(&raw));
        }
    }
    let status = child.wait().map_err(|e| format!("lost `{shown}`: {e}"))?;
    Ok(status.success())
}

/// As [`lines`] for a program that starts no others, from a folder and for a limited time: `None` when it was stopped at the limit.
///
/// # Errors
/// When it cannot be started or read.
pub fn lines_within(
    folder: &Path,
    program: &str,
    arguments: &[&str],
    limit: Duration,
    mut line: impl FnMut(&str),
) -> Result<Option<bool>, String> {
    let shown = shown(program, arguments);
    let mut child = Command::new(program)
        .args(arguments)
        .current_dir(folder)
        .stdout(Stdio::piped())
        .spawn()
        .map_err(|e| format!("could not start `{shown}`: {e}"))?;
    let output = child.stdout.take().ok_or_else(|| format!("could not read from `{shown}`"))?;
    let (sender, lines) = std::sync::mpsc::channel();
    std::thread::spawn(move || {
        for raw in BufReader::new(output).split(b'\n').map_while(Result::ok) {
            if sender.send(String::from_utf8_lossy(&raw).into_owned()).is_err() {
                break;
            }
        }
    });
    let end = Instant::now() + limit;
    loop {
        match lines.recv_timeout(end.saturating_duration_since(Instant::now())) {
            Ok(text) => line(&text),
            Err(RecvTimeoutError::Disconnected) => break,
            Err(RecvTimeoutError::Timeout) => {
                child.kill().map_err(|e| format!("could not stop `{shown}`: {e}"))?;
                child.wait().map_err(|e| format!("lost `{shown}`: {e}"))?;
                return Ok(None);
            }
        }
    }
    let status = child.wait().map_err(|e| format!("lost `{shown}`: {e}"))?;
    Ok(Some(status.success()))
}

fn shown(program: &str, arguments: &[&str]) -> String {
    let name = Path::new(program).file_name().map_or_else(|| program.into(), |n| n.to_string_lossy());
    format!("{name} {}", arguments.join(" "))
}

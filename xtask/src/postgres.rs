//! A private PostgreSQL server for the tests of the store, from Debian's package.
//!
//! As root a missing package is installed with `apt-get` (a fresh machine needs nothing but this command). Without root and without the package there
//! is no server: the tests of PostgreSQL then say loudly that they tested nothing, and this says so too. The server listens on 127.0.0.1 at a free port,
//! keeps its files in a temporary folder, and is stopped and removed when [`Server`] is dropped.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// A running server.
pub struct Server {
    folder: PathBuf,
    pg_ctl: PathBuf,
    root: bool,
    /// Where it is reached.
    pub address: String,
}

/// A server, or why there is none.
///
/// # Errors
/// A sentence for the person who runs the tests.
pub fn start() -> Result<Server, String> {
    let root = Command::new("id").arg("-u").output().is_ok_and(|o| o.stdout.starts_with(b"0\n"));
    let bin = match programs() {
        Some(bin) => bin,
        None if root => {
            install()?;
            programs()
                .ok_or("the package `postgresql` is installed, but its programs are not under /usr/lib/postgresql")?
        }
        None => return Err("the package `postgresql` is missing and cannot be installed without root".into()),
    };
    let port = std::net::TcpListener::bind("127.0.0.1:0")
        .and_then(|l| l.local_addr())
        .map_err(|e| format!("no free port: {e}"))?
        .port();
    let folder = std::env::temp_dir().join(format!("bisque-postgres-{}", std::process::id()));
    std::fs::create_dir_all(&folder).map_err(|e| format!("{}: {e}", folder.display()))?;
    let server = Server {
        pg_ctl: bin.join("pg_ctl"),
        root,
        address: format!("postgres://postgres@127.0.0.1:{port}/postgres"),
        folder,
    };
    if root {
        run(Command::new("chown").arg("postgres").arg(&server.folder))?;
    }
    let data = server.data();
    run(server
        .command(&bin.join("initdb"))
        .arg("-D")
        .arg(&data)
        .args(["-A", "trust", "-U", "postgres", "-E", "UTF8", "-N"]))?;
    // What these tests write is thrown away: the server need not wait for the disk.
    let options = format!("-p {port} -k {} -c listen_addresses=127.0.0.1 -c fsync=off", server.folder.display());
    let log = server.folder.join("log");
    run(server
        .command(&server.pg_ctl)
        .arg("-D")
        .arg(&data)
        .arg("-w")
        .arg("-l")
        .arg(log)
        .args(["-o", &options, "start"]))?;
    Ok(server)
}

impl Server {
    fn data(&self) -> PathBuf {
        self.folder.join("data")
    }

    /// PostgreSQL refuses to run as root; Debian's package brings the user `postgres`.
    fn command(&self, program: &Path) -> Command {
        let mut command = if self.root { Command::new("runuser") } else { Command::new(program) };
        if self.root {
            command.args(["-u", "postgres", "--"]).arg(program);
        }
        command.current_dir("/");
        command
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        let data = self.data();
        let mut stop = self.command(&self.pg_ctl);
        // Nothing more can be done about a server that does not stop; its folder goes in any case.
        let _ = stop.arg("-D").arg(data).args(["-m", "immediate", "stop"]).stdout(Stdio::null()).status();
        let _ = std::fs::remove_dir_all(&self.folder);
    }
}

/// Folder of the newest version's programs.
fn programs() -> Option<PathBuf> {
    let versions = std::fs::read_dir("/usr/lib/postgresql").ok()?;
    versions.flatten().map(|v| v.path().join("bin")).filter(|bin| bin.join("initdb").is_file()).max()
}

fn install() -> Result<(), String> {
    let apt = |args: &[&str]| run(Command::new("apt-get").args(args).env("DEBIAN_FRONTEND", "noninteractive"));
    apt(&["update", "-qq"])?;
    apt(&["install", "-y", "-qq", "--no-install-recommends", "postgresql", "postgresql-client"])
}

fn run(command: &mut Command) -> Result<(), String> {
    let output = command.stdin(Stdio::null()).output().map_err(|e| format!("{:?}: {e}", command.get_program()))?;
    if output.status.success() {
        return Ok(());
    }
    let words = String::from_utf8_lossy(&output.stderr);
    Err(format!("{:?} failed: {}", command.get_program(), words.trim().lines().last().unwrap_or("without a word")))
}

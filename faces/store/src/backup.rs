//! Backups: an export under a passphrase, in chunks that cannot be exchanged, cut off or added to unseen.
//!
//! File: a line of text, salt (16 bytes), argon2id cost (three u32, little-endian), nonce prefix (19 bytes), then chunks of up to 64 KiB
//! with their tag. The nonce of a chunk is prefix, chunk number (u32, big-endian) and 1 for the last chunk, else 0: the STREAM
//! construction of Hoang, Reyhanitabar, Rogaway and Vizar 2015 (CRYPTO, doi 10.1007/978-3-662-47989-6_24).

use crate::error::StoreError;
use crate::keeper::Keeper;
use crate::seal::{COST, Key, key_of, random};
use chacha20poly1305::aead::Aead;
use chacha20poly1305::{KeyInit, XChaCha20Poly1305, XNonce};
use register::Criteria;
use std::io::{BufReader, Read, Write};

const HEAD: &[u8] = b"bisque register backup 1\n";
const CHUNK: usize = 64 * 1024;
const TAG: usize = 16;

fn nonce(prefix: &[u8; 19], number: u32, last: bool) -> XNonce {
    let mut bytes = [0u8; 24];
    bytes[..19].copy_from_slice(prefix);
    bytes[19..23].copy_from_slice(&number.to_be_bytes());
    bytes[23] = u8::from(last);
    XNonce::from(bytes)
}

struct Sealer<'a> {
    out: &'a mut dyn Write,
    cipher: XChaCha20Poly1305,
    prefix: [u8; 19],
    number: u32,
    held: Vec<u8>,
}

impl Sealer<'_> {
    fn chunk(&mut self, last: bool) -> std::io::Result<()> {
        let take = self.held.len().min(CHUNK);
        let plain: Vec<u8> = self.held.drain(..take).collect();
        let sealed = self
            .cipher
            .encrypt(&nonce(&self.prefix, self.number, last), plain.as_slice())
            .map_err(|_| std::io::Error::other("a chunk cannot be sealed"))?;
        self.number = self.number.checked_add(1).ok_or_else(|| std::io::Error::other("the backup is too large"))?;
        self.out.write_all(&sealed)
    }
}

impl Write for Sealer<'_> {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        self.held.extend_from_slice(bytes);
        while self.held.len() > CHUNK {
            self.chunk(false)?;
        }
        Ok(bytes.len())
    }

    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

struct Opener<'a> {
    input: &'a mut dyn Read,
    cipher: XChaCha20Poly1305,
    prefix: [u8; 19],
    number: u32,
    /// Sealed bytes read and not opened.
    ahead: Vec<u8>,
    /// Opened bytes not handed out.
    open: Vec<u8>,
    at: usize,
    ended: bool,
}

impl Opener<'_> {
    fn refill(&mut self) -> std::io::Result<()> {
        let wanted = CHUNK + TAG + 1;
        let missing = wanted.saturating_sub(self.ahead.len());
        Read::take(&mut *self.input, missing as u64).read_to_end(&mut self.ahead)?;
        let last = self.ahead.len() < wanted;
        let take = self.ahead.len().min(CHUNK + TAG);
        let sealed: Vec<u8> = self.ahead.drain(..take).collect();
        self.open = self
            .cipher
            .decrypt(&nonce(&self.prefix, self.number, last), sealed.as_slice())
            .map_err(|_| std::io::Error::new(std::io::ErrorKind::InvalidData, WRONG))?;
        self.number = self.number.wrapping_add(1);
        self.at = 0;
        self.ended = last;
        Ok(())
    }
}

/// What the first chunk says when the passphrase is wrong, and any later one when the file was changed.
const WRONG: &str = "the passphrase is wrong, or the file was changed or cut short";

impl Read for Opener<'_> {
    fn read(&mut self, into: &mut [u8]) -> std::io::Result<usize> {
        while self.at == self.open.len() {
            if self.ended {
                return Ok(0);
            }
            self.refill()?;
        }
        let n = into.len().min(self.open.len() - self.at);
        into[..n].copy_from_slice(&self.open[self.at..self.at + n]);
        self.at += n;
        Ok(n)
    }
}

impl Keeper {
    /// Writes a backup under a passphrase.
    ///
    /// # Errors
    /// When the place cannot be read, or `out` not written.
    pub fn backup(&mut self, out: &mut dyn Write, passphrase: &str) -> Result<(), StoreError> {
        let failed = |e: std::io::Error| match e.kind() {
            std::io::ErrorKind::StorageFull => StoreError::Full,
            _ => StoreError::Unreadable { what: "backup", why: e.to_string() },
        };
        let (salt, prefix) = (random::<16>()?, random::<19>()?);
        let key: Key = key_of(passphrase, &salt, COST)?;
        out.write_all(HEAD).map_err(failed)?;
        out.write_all(&salt).map_err(failed)?;
        for figure in COST {
            out.write_all(&figure.to_le_bytes()).map_err(failed)?;
        }
        out.write_all(&prefix).map_err(failed)?;
        let cipher = XChaCha20Poly1305::new(&(*key).into());
        let mut sealer = Sealer { out, cipher, prefix, number: 0, held: Vec::new() };
        self.dump(&mut sealer)?;
        sealer.chunk(true).map_err(failed)?;
        sealer.out.flush().map_err(failed)
    }

    /// Takes a backup into an empty register. All or nothing.
    ///
    /// # Errors
    /// A wrong passphrase, a file that was changed or cut, a register that is not empty.
    pub fn restore(&mut self, input: &mut dyn Read, passphrase: &str, criteria: &Criteria) -> Result<(), StoreError> {
        let short = |e: std::io::Error| StoreError::Unreadable { what: "backup", why: e.to_string() };
        let mut head = [0u8; HEAD.len()];
        input.read_exact(&mut head).map_err(short)?;
        if head != HEAD {
            return Err(StoreError::Unreadable { what: "backup", why: "it is no backup of a register".into() });
        }
        let (mut salt, mut prefix, mut cost) = ([0u8; 16], [0u8; 19], [0u32; 3]);
        input.read_exact(&mut salt).map_err(short)?;
        for figure in &mut cost {
            let mut bytes = [0u8; 4];
            input.read_exact(&mut bytes).map_err(short)?;
            *figure = u32::from_le_bytes(bytes);
        }
        input.read_exact(&mut prefix).map_err(short)?;
        let key = key_of(passphrase, &salt, cost)?;
        let cipher = XChaCha20Poly1305::new(&(*key).into());
        let opener =
            Opener { input, cipher, prefix, number: 0, ahead: Vec::new(), open: Vec::new(), at: 0, ended: false };
        let mut reader = BufReader::new(opener);
        self.load(&mut reader, criteria).map_err(|e| match e {
            StoreError::Unreadable { why, .. } if why.contains(WRONG) => {
                StoreError::Unreadable { what: "backup", why: WRONG.into() }
            }
            other => other,
        })
    }
}

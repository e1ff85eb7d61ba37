//! Seals: a passphrase becomes a key (argon2id), the key wraps a random data key, the data key seals fields (XChaCha20-Poly1305).
//!
//! A sealed field is `hex(nonce || ciphertext || tag)`, bound to table, column and key of its row, so that it cannot be moved to another
//! place unseen. Pseudonyms are looked up by a keyed hash (BLAKE2s, 128 bits of it), which tells patients apart and nothing else.
//! Sources: RFC 9106 (argon2id), RFC 8439 with the 192-bit nonce of draft-irtf-cfrg-xchacha, RFC 7693 (BLAKE2).

use crate::error::StoreError;
use argon2::{Algorithm, Argon2, Params, Version};
use blake2::Blake2sMac256;
use blake2::digest::{KeyInit as _, Mac};
use chacha20poly1305::aead::{Aead, Payload};
use chacha20poly1305::{XChaCha20Poly1305, XNonce};
use zeroize::Zeroizing;

/// Memory in KiB, passes, lanes: the second choice of RFC 9106 for machines with little memory.
pub const COST: [u32; 3] = [64 * 1024, 3, 4];
const NONCE: usize = 24;

/// A key that is wiped when it is let go.
pub type Key = Zeroizing<[u8; 32]>;

/// Random bytes of the operating system.
///
/// # Errors
/// When it has none to give.
pub fn random<const N: usize>() -> Result<[u8; N], StoreError> {
    let mut bytes = [0u8; N];
    getrandom::fill(&mut bytes).map_err(|e| StoreError::Database(format!("no random numbers to be had: {e}")))?;
    Ok(bytes)
}

/// Key of a passphrase.
///
/// # Errors
/// When the cost is not one that argon2 takes, or memory is short.
pub fn key_of(passphrase: &str, salt: &[u8], cost: [u32; 3]) -> Result<Key, StoreError> {
    let refused = |e: argon2::Error| StoreError::Damaged(format!("the seal's figures: {e}"));
    // A file from elsewhere may not ask for all the memory of the machine.
    if cost[0] > 1 << 20 || cost[1] > 64 || cost[2] > 64 {
        return Err(StoreError::Damaged("the seal asks for more work than is sensible".into()));
    }
    let params = Params::new(cost[0], cost[1], cost[2], Some(32)).map_err(refused)?;
    let mut key = Zeroizing::new([0u8; 32]);
    Argon2::new(Algorithm::Argon2id, Version::V0x13, params)
        .hash_password_into(passphrase.as_bytes(), salt, &mut *key)
        .map_err(refused)?;
    Ok(key)
}

/// The seal of one register.
pub struct Seal {
    cipher: XChaCha20Poly1305,
    hash: Key,
}

impl Seal {
    /// A new seal and the two texts that a register keeps of it: salt with cost, and the wrapped data key.
    ///
    /// # Errors
    /// Without random numbers or memory.
    pub fn new(passphrase: &str) -> Result<(Self, String, String), StoreError> {
        let salt: [u8; 16] = random()?;
        let data = Zeroizing::new(random::<32>()?);
        let wrapping = Self::of_key(&key_of(passphrase, &salt, COST)?);
        let wrapped = wrapping.seal_bytes("data key", &*data)?;
        let kept = format!("argon2id {} {} {} {}", COST[0], COST[1], COST[2], hex(&salt));
        Ok((Self::of_key(&data), kept, hex(&wrapped)))
    }

    /// The seal of a register by its passphrase and the two texts kept.
    ///
    /// # Errors
    /// [`StoreError::WrongPassphrase`]; [`StoreError::Damaged`] when the texts are not what was written.
    pub fn open(passphrase: &str, kept: &str, wrapped: &str) -> Result<Self, StoreError> {
        let damaged = || StoreError::Damaged("the seal's own lines cannot be read".into());
        let words: Vec<&str> = kept.split(' ').collect();
        let ["argon2id", m, t, p, salt] = words.as_slice() else { return Err(damaged()) };
        let figure = |w: &str| w.parse::<u32>().map_err(|_| damaged());
        let cost = [figure(m)?, figure(t)?, figure(p)?];
        let key = key_of(passphrase, &unhex(salt).ok_or_else(damaged)?, cost)?;
        let data = Self::of_key(&key).open_bytes("data key", &unhex(wrapped).ok_or_else(damaged)?);
        let data = Zeroizing::new(data.ok_or(StoreError::WrongPassphrase)?);
        let data: [u8; 32] = data.as_slice().try_into().map_err(|_| damaged())?;
        Ok(Self::of_key(&Zeroizing::new(data)))
    }

    fn of_key(key: &Key) -> Self {
        // The hash's key is apart from the cipher's, though both come from one.
        let hash = keyed(key, b"pseudonym");
        Self { cipher: XChaCha20Poly1305::new(&(**key).into()), hash: Zeroizing::new(hash) }
    }

    /// Seals a text for its place.
    ///
    /// # Errors
    /// Without random numbers.
    pub fn seal(&self, place: &str, text: &str) -> Result<String, StoreError> {
        self.seal_bytes(place, text.as_bytes()).map(|b| hex(&b))
    }

    /// Opens a text at its place; none when it was not sealed for it, or was changed.
    pub fn open_text(&self, place: &str, sealed: &str) -> Option<String> {
        String::from_utf8(self.open_bytes(place, &unhex(sealed)?)?).ok()
    }

    /// The name under which a pseudonym is looked up.
    pub fn name_of(&self, pseudonym: &str) -> String {
        hex(&keyed(&self.hash, pseudonym.as_bytes())[..16])
    }

    fn seal_bytes(&self, place: &str, bytes: &[u8]) -> Result<Vec<u8>, StoreError> {
        let nonce: [u8; NONCE] = random()?;
        let payload = Payload { msg: bytes, aad: place.as_bytes() };
        let sealed = self
            .cipher
            .encrypt(&XNonce::from(nonce), payload)
            .map_err(|_| StoreError::Database("the field is too long to be sealed".into()))?;
        Ok([nonce.as_slice(), &sealed].concat())
    }

    fn open_bytes(&self, place: &str, sealed: &[u8]) -> Option<Vec<u8>> {
        let (nonce, sealed) = sealed.split_at_checked(NONCE)?;
        let nonce: [u8; NONCE] = nonce.try_into().ok()?;
        self.cipher.decrypt(&XNonce::from(nonce), Payload { msg: sealed, aad: place.as_bytes() }).ok()
    }
}

impl std::fmt::Debug for Seal {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Seal")
    }
}

/// Keyed hash, 256 bits.
fn keyed(key: &[u8; 32], bytes: &[u8]) -> [u8; 32] {
    let mut mac = Blake2sMac256::new(&(*key).into());
    mac.update(bytes);
    mac.finalize().into_bytes().into()
}

/// Bytes as hexadecimal digits.
pub fn hex(bytes: &[u8]) -> String {
    const DIGITS: &[u8; 16] = b"0123456789abcdef";
    bytes.iter().flat_map(|b| [DIGITS[usize::from(b >> 4)] as char, DIGITS[usize::from(b & 15)] as char]).collect()
}

/// Bytes of hexadecimal digits.
pub fn unhex(text: &str) -> Option<Vec<u8>> {
    let digit = |b: u8| (b as char).to_digit(16).map(|d| d as u8);
    text.as_bytes()
        .chunks(2)
        .map(|pair| match pair {
            [high, low] => Some(digit(*high)? << 4 | digit(*low)?),
            _ => None,
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_key_of_a_passphrase_is_that_of_the_standard() {
        // RFC 9106, 5.3, without its secret and associated data cannot be met here; this vector is from the reference program's own
        // tests (version 0x13, argon2id, t = 2, m = 64 MiB, p = 1, password `password`, salt `somesalt`), hash 09316115d5cf24ed...
        let key = key_of("password", b"somesalt", [65_536, 2, 1]).unwrap();
        assert_eq!(hex(&*key), "09316115d5cf24ed5a15a31a3ba326e5cf32edc24702987c02b6566f61913cf7");
    }

    #[test]
    fn a_seal_opens_at_its_place_and_nowhere_else() {
        let (seal, kept, wrapped) = Seal::new("correct horse").unwrap();
        let sealed = seal.seal("patient.note P1", "allergic to none").unwrap();
        assert!(!sealed.contains("allergic"));
        let again = Seal::open("correct horse", &kept, &wrapped).unwrap();
        assert_eq!(again.open_text("patient.note P1", &sealed).as_deref(), Some("allergic to none"));
        assert_eq!(again.open_text("patient.note P2", &sealed), None);
        let mut changed = sealed.clone();
        let last = if changed.pop() == Some('0') { '1' } else { '0' };
        changed.push(last);
        assert_eq!(again.open_text("patient.note P1", &changed), None);
        assert_eq!(again.name_of("P1"), seal.name_of("P1"));
        assert_ne!(again.name_of("P1"), seal.name_of("P2"));
        assert!(matches!(Seal::open("wrong", &kept, &wrapped), Err(StoreError::WrongPassphrase)));
        assert!(matches!(Seal::open("correct horse", "argon2id x", &wrapped), Err(StoreError::Damaged(_))));
    }
}

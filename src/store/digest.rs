//! Digests: of whole texts, and the chain that seals a log.

use sha2::{Digest as _, Sha256};

/// Number of hexadecimal digits of the SHA-256 in a link of the chain: 32, that is 128 bits.
///
/// The chain reveals damage by an editor, a disk or a copy. It is not a signature, since whoever can write the file can
/// recompute it; 128 bits are far beyond chance and keep the lines short.
pub(super) const CHAIN_DIGITS: usize = 32;

/// SHA-256 as 64 lower-case hexadecimal digits: the name by which scripts are pinned.
#[must_use]
pub fn digest(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().flat_map(|byte| hex(*byte)).map(char::from).collect()
}

/// The running digest of a log: the digits of its latest link, or nothing before the first.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct Chain(Option<[u8; CHAIN_DIGITS]>);

impl Chain {
    /// The link that seals `block`: the first 32 hexadecimal digits of SHA-256 over the digits of the link before it
    /// (none before the first) followed by the bytes of the block, from its first to the last before `chain = `.
    pub(super) fn sealed(&self, block: &[u8]) -> Self {
        let digest = Sha256::new().chain_update(self.digits()).chain_update(block).finalize();
        let mut digits = [0; CHAIN_DIGITS];
        for (pair, byte) in digits.chunks_exact_mut(2).zip(&digest) {
            pair.copy_from_slice(&hex(*byte));
        }
        Self(Some(digits))
    }

    /// Its digits.
    pub(super) fn digits(&self) -> &str {
        // Hexadecimal digits are text.
        self.0.as_ref().and_then(|digits| std::str::from_utf8(digits).ok()).unwrap_or_default()
    }
}

/// The two hexadecimal digits of a byte.
fn hex(byte: u8) -> [u8; 2] {
    const DIGITS: &[u8; 16] = b"0123456789abcdef";
    [byte >> 4, byte & 15].map(|nibble| DIGITS[usize::from(nibble)])
}

#[cfg(test)]
mod tests {
    use super::*;

    /// FIPS 180-2, appendix B.1: the one-block message "abc".
    #[test]
    fn digest_of_the_published_example() {
        assert_eq!(digest(b"abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    }

    #[test]
    fn a_link_depends_on_the_one_before() {
        let first = Chain::default().sealed(b"abc");
        assert_eq!(first.digits(), "ba7816bf8f01cfea414140de5dae2223");
        assert_ne!(first.sealed(b"abc"), first);
    }
}

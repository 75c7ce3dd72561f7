//! Inputs: samples of what is read in earnest, changed at random by a generator with a seed.

/// A small generator with a seed (xorshift, 64 bits).
pub struct Chance(u64);

impl Chance {
    /// A generator; any seed will do.
    pub fn new(seed: u64) -> Chance {
        Chance(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1)
    }

    /// A number below `most`.
    pub fn below(&mut self, most: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        usize::try_from(self.0 >> 11).unwrap_or(0) % most.max(1)
    }

    fn pick<'a>(&mut self, list: &[&'a [u8]]) -> &'a [u8] {
        list[self.below(list.len())]
    }
}

/// Pieces that parsers trip over.
const PIECES: &[&[u8]] = &[
    b"\0",
    b"\n",
    b"\r\n",
    b"\t",
    b"\"",
    b"'",
    b"`",
    b"${",
    b"}",
    b"{",
    b"(",
    b")",
    b"[",
    b"]",
    b";",
    b"//",
    b"/*",
    b"*/",
    b"|",
    b"||",
    b"..",
    b"=",
    b"#{",
    b"-",
    b"+",
    b"*",
    b"/",
    b"%",
    b".",
    b",",
    b"0",
    b"9",
    b"1e9",
    b"00000000000000000000000000000000",
    b"99999999999999999999999999999999",
    b"0.0000000000000000000000000000001",
    b"9223372036854775807",
    b"NaN",
    b"inf",
    b"-0",
    b"1,234",
    b"1.234,5",
    b"kg",
    b"lb",
    b" oz",
    b"x",
    b"tare",
    b"[bucket]",
    b"too light",
    b"by ",
    b"yes",
    b"\xff",
    b"\xc3",
    b"\xe2\x80\xae",
    b"\xc2\x9b",
    b"\x1b[2J",
    b"\xef\xbb\xbf",
    b"\xf0\x9f\x98\x80",
    b"\xcc\x81",
    b"loop { }",
    b"throw ",
    b"step(\"",
    b"bench.",
    b".kg",
    b"let x = ",
    b"fn x() { }",
    b"[[entry]]\n",
    b"seq = 1\n",
    b"digest = \"\"\n",
    b"\\u202e",
];

/// A sample, changed in one to eight places.
pub fn changed(chance: &mut Chance, samples: &[Vec<u8>]) -> Vec<u8> {
    let mut data = samples[chance.below(samples.len())].clone();
    for _ in 0..=chance.below(8) {
        let at = chance.below(data.len() + 1);
        let end = (at + chance.below(40)).min(data.len());
        match chance.below(8) {
            0 if at < data.len() => data[at] ^= 1 << chance.below(8),
            1 => drop(data.drain(at..end)),
            2 => drop(data.splice(at..at, chance.pick(PIECES).iter().copied())),
            3 => drop(data.splice(at..end, chance.pick(PIECES).iter().copied())),
            4 => {
                let copy = data[at..end].to_vec();
                let to = chance.below(data.len() + 1);
                drop(data.splice(to..to, copy));
            }
            5 => {
                let other = &samples[chance.below(samples.len())];
                let from = chance.below(other.len() + 1);
                let part = &other[from..(from + chance.below(200)).min(other.len())];
                drop(data.splice(at..end, part.iter().copied()));
            }
            6 => data.truncate(at),
            _ => {
                let piece = chance.pick(PIECES).repeat(1 + chance.below(60));
                drop(data.splice(at..at, piece));
            }
        }
    }
    data
}

//! The bytes under the hash, for every format there ever was.

use proptest::prelude::*;
use store::{
    Entry, StoreError,
    format::{BEGINNING, CURRENT, canonical, check, digest, hash},
};

/// The entries in `tests/data/format_1.sql`, whose bytes and hashes were made with Python's `struct` and `hashlib`.
pub fn format_1() -> [Entry; 3] {
    let entry =
        |seq, (at_ms, recorded_ms), by: &str, kind: &str, body: &str, command: &str, prev: &str, hash: &str| Entry {
            job: "j-7".to_owned(),
            seq,
            format: 1,
            at_ms,
            recorded_ms,
            by: by.to_owned(),
            kind: kind.to_owned(),
            body: body.to_owned(),
            command: command.to_owned(),
            prev: prev.to_owned(),
            hash: hash.to_owned(),
        };
    let hashes = [
        "37514a878206d5faa5fb3b51f2dbfec92baa655c7763a363dfaddb759e36ab9c",
        "0d4c7e1e85d8e8345af7f12956201cc28bf491c69dc9684a6cfaf69e879b1c1a",
        "cfa8bcbca25229bdab6edf399a7c0d0c169f86da03ee47b0a644a77f7b842eb7",
    ];
    let times =
        [(1_700_000_000_000, 1_700_000_000_250), (-1, 1_700_000_060_000), (1_700_000_120_000, 1_700_000_120_001)];
    let fill = "{\"plug\":\"fill\"}";
    let warm = "{\"temp_c\":38.5,\"note\":\"≈ 4 L\"}";
    [
        entry(1, times[0], "Kim", "PlugProven", fill, "c-1", BEGINNING, hashes[0]),
        entry(2, times[1], "Çelik", "DrainOpened", warm, "c-2", hashes[0], hashes[1]),
        entry(3, times[2], "Kim", "DrainClosed", "{}", "c-2", hashes[1], hashes[2]),
    ]
}

/// FIPS 180-4 examples as published by NIST (csrc.nist.gov, "Examples with Intermediate Values", SHA-256), from memory.
#[test]
fn val_digest_is_sha_256() {
    assert_eq!(digest(b"abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    assert_eq!(digest(b""), "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
}

#[test]
fn hand_format_1_bytes() {
    let [first, second, _] = format_1();
    let mut bytes: Vec<u8> = Vec::new();
    bytes.extend(b"\0\0\0\0\0\0\0\x01"); // format
    bytes.extend(b"\0\0\0\0\0\0\0\x03j-7"); // job
    bytes.extend(b"\0\0\0\0\0\0\0\x02"); // seq
    bytes.extend(b"\xff\xff\xff\xff\xff\xff\xff\xff"); // at_ms, -1
    bytes.extend(b"\0\0\x01\x8b\xcf\xe6\x52\x60"); // recorded_ms, 1 700 000 060 000 = 0x018b_cfe6_5260
    bytes.extend(b"\0\0\0\0\0\0\0\x06\xc3\x87elik"); // by, six bytes for five letters
    bytes.extend(b"\0\0\0\0\0\0\0\x0bDrainOpened"); // kind
    bytes.extend(b"\0\0\0\0\0\0\0\x20{\"temp_c\":38.5,\"note\":\"\xe2\x89\x88 4 L\"}"); // body
    bytes.extend(b"\0\0\0\0\0\0\0\x03c-2"); // command
    bytes.extend(b"\x37\x51\x4a\x87\x82\x06\xd5\xfa\xa5\xfb\x3b\x51\xf2\xdb\xfe\xc9"); // prev
    bytes.extend(b"\x2b\xaa\x65\x5c\x77\x63\xa3\x63\xdf\xad\xdb\x75\x9e\x36\xab\x9c");
    assert_eq!(canonical(&second).unwrap(), bytes);
    // The first one ends in 32 zeros instead.
    assert_eq!(canonical(&first).unwrap()[106..], [0; 32][..]);
}

#[test]
fn val_format_1_hashes() {
    for entry in format_1() {
        assert_eq!(hash(&entry).unwrap(), entry.hash, "entry {}", entry.seq);
    }
    check("j-7", None, &format_1()).unwrap();
    check("j-7", Some(&format_1()[0]), &format_1()[1..]).unwrap();
}

#[test]
fn law_each_format_is_read_or_named() {
    for format in [i64::MIN, -1, 0, CURRENT + 1, i64::MAX] {
        let entry = Entry { format, ..format_1()[0].clone() };
        match canonical(&entry) {
            Err(StoreError::UnknownFormat { format: told, known: CURRENT, .. }) => {
                assert!(told == format && format > CURRENT)
            }
            Err(StoreError::Damaged { .. }) => assert!(format < 1),
            other => panic!("{format}: {other:?}"),
        }
    }
    let upper = BEGINNING.replacen('0', "A", 1);
    for prev in ["", "0", &BEGINNING[1..], &upper, &"é".repeat(32), &"g".repeat(64)] {
        let entry = Entry { prev: prev.to_owned(), ..format_1()[0].clone() };
        assert!(matches!(canonical(&entry), Err(StoreError::Damaged { seq: 1, .. })), "{prev}");
    }
}

fn any_entry() -> impl Strategy<Value = Entry> {
    // Few letters, so that texts often run into each other.
    let text = "[ab]{0,3}";
    let whole = prop_oneof![Just(0i64), Just(1), Just(-1), any::<i64>()];
    (text, text, text, text, text, (whole.clone(), whole.clone(), whole)).prop_map(
        |(job, by, kind, body, command, n)| {
            let (seq, at_ms, recorded_ms) = n;
            let (prev, hash) = (BEGINNING.to_owned(), String::new());
            Entry { job, seq, format: 1, at_ms, recorded_ms, by, kind, body, command, prev, hash }
        },
    )
}

proptest! {
    #[test]
    fn law_different_entries_have_different_bytes(one in any_entry(), other in any_entry()) {
        prop_assert_eq!(one == other, canonical(&one).unwrap() == canonical(&other).unwrap());
    }

    #[test]
    fn law_no_entry_of_a_chain_can_be_left_out_moved_or_doubled(from in 0usize..3, to in 0usize..3) {
        let whole = format_1();
        let mut moved = whole.to_vec();
        let entry = moved.remove(from);
        prop_assert_eq!(check("j-7", None, &moved).is_ok(), from == 2);
        moved.insert(to.min(moved.len()), entry.clone());
        prop_assert_eq!(check("j-7", None, &moved).is_ok(), moved == whole);
        moved.push(entry);
        prop_assert!(check("j-7", None, &moved).is_err());
        prop_assert!(check("j-8", None, &whole).is_err());
    }
}

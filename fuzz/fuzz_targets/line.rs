//! Whatever bytes a list holds: it is read, its things are found and weighed, and a thing that was
//! found is written as one line that is read again.
#![no_main]

use forefeed::knowledge::{self, Known};
use libfuzzer_sys::fuzz_target;
use std::sync::LazyLock;

static KNOWN: LazyLock<Known> = LazyLock::new(|| Known::base().0);

fuzz_target!(|data: &[u8]| {
    let bag = forefeed::bag::read_bytes(data, &*KNOWN);
    let found = knowledge::find(&bag, &KNOWN, None);
    for f in &found {
        assert!(!f.identities.is_empty());
        let line = knowledge::written(f, &KNOWN);
        let _ = forefeed::bag::read(&line, &*KNOWN);
    }
    for scrap in knowledge::weigh(found, &KNOWN) {
        assert!(scrap.mass.low <= scrap.mass.typical && scrap.mass.typical <= scrap.mass.high);
    }
});

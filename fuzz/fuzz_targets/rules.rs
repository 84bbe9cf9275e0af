//! Whatever text a household's rules are: the book opens, or every fault is named with its place.
#![no_main]

use forefeed::fault::Source;
use forefeed::judge::Setting;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    let file = Source { name: "household.rules".into(), text: text.to_string().into() };
    match forefeed::open(&[file], Setting::on(forefeed::judge::examples::DAY)) {
        Ok((home, _)) => drop(forefeed::check(b"3 banana peels\negg shells\n", &home)),
        Err(unopened) => assert!(unopened.faults.any_error()),
    }
});

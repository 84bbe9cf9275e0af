//! How long things take: a cold `check --demo` as a whole process, opening the base, and a line in a
//! stream. Run with `cargo bench --bench speed`; medians over several runs.

#![allow(clippy::print_stdout, reason = "a bench prints its figures")]

use forefeed::fault::Faults;
use forefeed::judge::Setting;
use forefeed::report::json::Detail;
use forefeed::stream::Stream;
use forefeed::{bag, knowledge};
use std::fs;
use std::hint::black_box;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

fn median(mut times: Vec<Duration>) -> Duration {
    times.sort();
    times.get(times.len() / 2).copied().unwrap_or_default()
}

fn timed(runs: usize, mut run: impl FnMut()) -> Duration {
    median(
        (0..runs)
            .map(|_| {
                let start = Instant::now();
                run();
                start.elapsed()
            })
            .collect(),
    )
}

/// Distinct lines: every item's names with an amount before them.
fn lines(known: &knowledge::Known) -> Vec<String> {
    known
        .items()
        .flat_map(|(_, i)| i.names.iter().take(4))
        .enumerate()
        .map(|(n, name)| format!("{} {}", n % 9 + 1, name.text))
        .collect()
}

fn run(program: &Path, args: &[&str]) {
    let _ = Command::new(program).args(args).stdout(Stdio::null()).status();
}

/// A small clap program, built with the same profile in the folder for such things; `None` if it
/// cannot be built here.
fn hello() -> Option<PathBuf> {
    let dir = Path::new(env!("CARGO_TARGET_TMPDIR")).join("hello");
    fs::create_dir_all(dir.join("src")).ok()?;
    let manifest = "[package]\nname = \"hello\"\nversion = \"0.1.0\"\nedition = \"2024\"\n\n[workspace]\n\n\
                    [dependencies]\nclap = { version = \"4.5\", features = [\"derive\"] }\n\n\
                    [profile.release]\nlto = \"fat\"\ncodegen-units = 1\npanic = \"abort\"\n";
    let source = "use clap::Parser;\n/// Says hello.\n#[derive(Parser)]\nstruct Hello { #[arg(long, default_value = \
                  \"worms\")] to: String }\nfn main() { println!(\"hello, {}\", Hello::parse().to); }\n";
    fs::write(dir.join("Cargo.toml"), manifest).ok()?;
    fs::write(dir.join("src/main.rs"), source).ok()?;
    let mut cargo = Command::new(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()));
    cargo.args(["build", "--release", "--quiet"]).current_dir(&dir).env("CARGO_TARGET_DIR", dir.join("target"));
    cargo.status().ok().filter(|s| s.success())?;
    Some(dir.join("target/release/hello"))
}

/// Looking a mistyped name up, beside a full scan of all names with strsim.
fn mistyped(known: &knowledge::Known) {
    let names: Vec<String> = known.items().map(|(_, i)| i.name.to_lowercase()).collect();
    // One letter left out in the middle of every name of five letters or more.
    let slips: Vec<bag::Named> = names
        .iter()
        .filter(|n| n.is_ascii() && n.len() >= 5)
        .map(|n| n.chars().enumerate().filter(|(i, _)| *i != n.len() / 2).map(|(_, c)| c).collect::<String>())
        .map(|text| bag::Named { name: text.clone(), full: text, ..bag::Named::default() })
        .collect();
    let each = |slips: &[bag::Named], look: &dyn Fn(&bag::Named)| {
        let mut times: Vec<Duration> = slips
            .iter()
            .map(|slip| {
                look(slip);
                let start = Instant::now();
                look(slip);
                start.elapsed()
            })
            .collect();
        times.sort();
        let at = |share: usize| times.get(times.len() * share / 100).map_or(0.0, |t| t.as_secs_f64() * 1e6);
        (at(50), at(99))
    };
    let first = Instant::now();
    slips.first().map(|slip| black_box(knowledge::identify(slip, known)));
    println!("the first mistyped name              {:>9.2} us", first.elapsed().as_secs_f64() * 1e6);
    let (median, p99) = each(&slips, &|slip| _ = black_box(knowledge::identify(slip, known)));
    println!("a mistyped name, warm                {median:>9.2} us, 99 of 100 under {p99:.2} us");
    let few: Vec<bag::Named> = slips.iter().step_by(10).cloned().collect();
    let scan = |slip: &bag::Named| {
        let nearest = names.iter().max_by(|a, b| {
            strsim::normalized_levenshtein(a, &slip.name).total_cmp(&strsim::normalized_levenshtein(b, &slip.name))
        });
        black_box(nearest);
    };
    let (median, p99) = each(&few, &scan);
    println!("a scan of {} names with strsim     {median:>9.2} us, 99 of 100 under {p99:.2} us", names.len());
}

/// A copy of a program, as an installer makes one: the kernel holds what a linker has just written
/// in smaller pieces than what was copied or read from disk, and takes longer to start it.
fn installed(program: &Path) -> Option<PathBuf> {
    let copy = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("installed-{}", program.file_stem()?.to_str()?));
    // Never over an older copy: its pages would be kept.
    let _ = fs::remove_file(&copy);
    fs::copy(program, &copy).ok()?;
    Some(copy)
}

/// Whole processes: `check --demo` and a clap hello-world, both as installed, started in turn.
fn cold() {
    let forefeed = installed(env!("CARGO_BIN_EXE_forefeed").as_ref());
    let Some((forefeed, hello)) = forefeed.zip(hello().and_then(|hello| installed(&hello))) else {
        println!("a clap hello-world                   not built here: no comparison");
        return;
    };
    let (mut ours, mut theirs) = (Vec::new(), Vec::new());
    for _ in 0..301 {
        let start = Instant::now();
        run(&hello, &[]);
        theirs.push(start.elapsed());
        let start = Instant::now();
        run(&forefeed, &["check", "--demo", "--base-only"]);
        ours.push(start.elapsed());
    }
    let (ours, theirs) = (median(ours), median(theirs));
    println!("cold `check --demo`, whole process   {:>9.2} ms", ours.as_secs_f64() * 1e3);
    println!("a clap hello-world, whole process    {:>9.2} ms", theirs.as_secs_f64() * 1e3);
    println!("cold check beside it                 {:>9.2} x", ours.as_secs_f64() / theirs.as_secs_f64());
}

fn main() {
    cold();
    let yaml = timed(5, || {
        let (mut sources, mut faults) = (forefeed::base::texts(), Faults::default());
        for name in ["rules/kinds.yaml", "rules/composition.yaml", "rules/evidence.yaml"] {
            let text = std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(name)).unwrap_or_default();
            let file = sources.add(name, text);
            black_box(knowledge::load::list::<serde_yaml::Value>(file, &sources, &mut faults));
        }
    });
    println!("parsing three of the YAML files      {:>9.2} ms", yaml.as_secs_f64() * 1e3);

    let opened = timed(101, || {
        black_box(forefeed::base::base());
    });
    println!("opening the ready-made base          {:>9.3} ms", opened.as_secs_f64() * 1e3);

    let Ok((home, _)) = forefeed::open(&[], Setting::on(forefeed::judge::examples::DAY)) else { return };
    mistyped(&home.known);
    let names = lines(&home.known);
    // Every name with a hundred amounts: distinct lines, words that come again.
    let amounts: Vec<String> =
        (1..=100).flat_map(|n| names.iter().step_by(10).map(move |l| format!("{n}{l}"))).collect();
    for (what, lines) in [("each name once", &names), ("names with many amounts", &amounts)] {
        let mut out = Vec::new();
        let all = timed(5, || {
            let mut stream = Stream::new(&home, Detail::Lean);
            for (number, line) in (1u32..).zip(lines) {
                out.clear();
                let _ = stream.answer(number, line.as_bytes(), &mut out);
                black_box(&out);
            }
        });
        let each = all.as_secs_f64() * 1e6 / f64::from(u32::try_from(lines.len().max(1)).unwrap_or(u32::MAX));
        println!("a line, {what} ({} lines)  {each:>9.2} us  ({:.0} lines a second)", lines.len(), 1e6 / each);
    }
}

//! `rehearse`: an install flown through a flight, as a capture.

mod program;

use program::{PROFILE, run, run_with};

#[test]
fn the_demo_compared_with_its_profile_proves_every_setting() {
    let rehearsed = run(&["rehearse", PROFILE, "--interrogated"]).exits(0);
    assert!(
        rehearsed.out.starts_with("# synthetic: made from an install profile, never received"),
        "{}",
        rehearsed.out
    );
    rehearsed.complains_of(&["Never radiate"]);
    let compared =
        run_with(&["compare", PROFILE, "--capture", "-", "--format", "json"], rehearsed.out.as_bytes()).exits(0);
    assert_eq!(compared.object()["verdict"], "agrees", "{}", compared.out);
}

#[test]
fn the_same_seed_gives_the_same_bytes_and_another_does_not() {
    let with =
        |seed: &str| run(&["rehearse", PROFILE, "--for", "60", "--seed", seed, "--other-aircraft", "70"]).exits(0).out;
    assert_eq!(with("3"), with("3"));
    let frames = |text: &str| text.lines().filter(|line| !line.starts_with('#')).map(str::to_owned).collect::<Vec<_>>();
    assert_ne!(frames(&with("3")), frames(&with("4")));
}

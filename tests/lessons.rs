//! `learn`: the list of lessons, each by name and by number.

use crate::program::run;
use squitterlab::learn::LESSONS;

#[test]
fn each_lesson_is_printed_by_name_and_number() {
    let list = run(&["learn"]).exits(0).out;
    for (at, lesson) in LESSONS.iter().enumerate() {
        assert!(list.contains(&format!("{}  {}", at + 1, lesson.name)), "{list}");
        let text = run(&["learn", lesson.name]).exits(0).out;
        assert_eq!(text, lesson.text());
        assert_eq!(run(&["learn", &(at + 1).to_string()]).exits(0).out, text);
    }
    for wrong in ["0", "8", "zzz"] {
        run(&["learn", wrong]).exits(2).complains_of(&["there is no such lesson", "position"]);
    }
}

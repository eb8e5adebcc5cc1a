//! Asks for the settings of an install one after another, in the order of work at the aircraft. It knows nothing of a
//! terminal or a page: it gives a question, takes an answer, and holds the text of the profile as it is so far.

use super::edit::with_value;
use super::form::Misfit;
use super::stops::stop_of;
use super::{
    Fault, Follows, ParsedProfile, Problem, Profile, SETTINGS, Setting, SettingId, Severity, Stated, ValueKind,
    applies, check, follows, follows_anew, rule_set, rules_for,
};
use std::collections::HashSet;

/// A question about one setting.
#[derive(Clone, Debug)]
pub struct Question {
    /// The setting.
    pub setting: &'static Setting,
    /// Its number among the questions of this install, from 1.
    pub number: usize,
    /// How many there are.
    pub of: usize,
    /// What is stated now, in words.
    pub now: Stated<String>,
    /// What follows from other answers, to be confirmed.
    pub follows: Option<Follows>,
    /// What must be so before a hand is laid on this.
    pub stop: Option<&'static str>,
    /// Whether the question comes again because another answer has changed what follows.
    pub again: bool,
}

impl Question {
    /// What an empty answer means: the value that is stated, else the one that follows, else none.
    pub fn default(&self) -> Option<&str> {
        let follows = self.follows.as_ref().map(|follows| follows.value.as_str());
        match &self.now {
            Stated::Is(now) if !self.again => Some(now),
            _ => follows,
        }
    }
}

/// What came of an answer.
#[derive(Clone, Debug)]
pub enum Answer {
    /// It is in the profile now.
    Taken {
        /// In words.
        value: String,
        /// What is to be known of it: no doubts.
        notes: Vec<Problem>,
    },
    /// The value was left as it is.
    Kept,
    /// The setting is still to be filled in.
    LeftOpen,
    /// It may be a slip: nothing is changed until it is confirmed or another answer is given.
    Doubtful(Vec<Problem>),
}

/// The questions of an install, with the profile as it is so far.
#[derive(Clone, Debug)]
pub struct Questions {
    text: String,
    reading: ParsedProfile,
    order: Vec<&'static Setting>,
    /// The place in the order of questions; its end once all are answered.
    at: usize,
    /// What was left open on purpose.
    left: HashSet<SettingId>,
    /// What has to be asked again, since another answer has changed what follows.
    again: HashSet<SettingId>,
    /// A doubtful answer, until it is confirmed.
    pending: Option<(String, ParsedProfile)>,
}

impl Questions {
    /// The questions that a profile leaves open, the first of them asked; with `more`, also about what few installs have
    /// and what is for the record only.
    ///
    /// ```
    /// use squitterlab::profile::{Answer, Questions};
    /// let mut questions = Questions::new("{}", false).unwrap();
    /// assert_eq!(questions.question().unwrap().setting.name, "Registration mark");
    /// questions.answer("n47qx").unwrap();
    /// assert_eq!(questions.question().unwrap().follows.unwrap().value, "A5C035");
    /// // An empty answer confirms what follows.
    /// assert!(matches!(questions.answer("").unwrap(), Answer::Taken { value, .. } if value == "A5C035"));
    /// assert!(questions.text().contains("\"address\": \"A5C035\""));
    /// ```
    ///
    /// # Errors
    /// [`Misfit`] for a text that is not a profile.
    pub fn new(text: &str, more: bool) -> Result<Self, Misfit> {
        let reading = Profile::read(text);
        if let Some(problem) = reading.problems.iter().find(|problem| problem.severity == Severity::Error) {
            return Err(Misfit {
                line: problem.line,
                column: problem.column,
                pointer: problem.pointer.clone(),
                reason: problem.reason.clone(),
                correction: problem.correction.clone(),
            });
        }
        let mut order: Vec<&Setting> = SETTINGS.iter().filter(|setting| setting.in_new_profile).collect();
        order.sort_by_key(|setting| setting.taken_from);
        if more {
            let mut further: Vec<&Setting> = SETTINGS.iter().filter(|setting| !setting.in_new_profile).collect();
            further.sort_by_key(|setting| setting.taken_from);
            order.extend(further);
        }
        let mut questions = Self {
            text: text.to_owned(),
            reading,
            order,
            at: 0,
            left: HashSet::new(),
            again: HashSet::new(),
            pending: None,
        };
        questions.at = questions.next_open(0);
        Ok(questions)
    }

    /// The profile as it is so far.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// What the text says.
    pub fn profile(&self) -> &Profile {
        &self.reading.profile
    }

    /// The same as it was read.
    pub fn reading(&self) -> &ParsedProfile {
        &self.reading
    }

    /// The question to be asked; `None` once there is none left.
    pub fn question(&self) -> Option<Question> {
        let setting = *self.order.get(self.at)?;
        let profile = self.profile();
        let asked = |setting: &&&Setting| applies(profile, setting.id);
        let (rules, _) = rules_for(None, profile);
        Some(Question {
            setting,
            number: self.order[..=self.at].iter().filter(asked).count(),
            of: self.order.iter().filter(asked).count(),
            now: setting.stated(profile),
            follows: follows(profile, rules, setting.id),
            stop: stop_of(setting.id),
            again: self.again.contains(&setting.id),
        })
    }

    fn is_open(&self, setting: &Setting) -> bool {
        applies(self.profile(), setting.id)
            && !self.left.contains(&setting.id)
            && !matches!(setting.stated(self.profile()), Stated::Is(_))
    }

    /// The next place from here on that is open; before it, what has to be asked again.
    fn next_open(&self, from: usize) -> usize {
        let again = self.order.iter().position(|setting| self.again.contains(&setting.id));
        let open = || self.order.iter().skip(from).position(|setting| self.is_open(setting)).map(|at| from + at);
        again.or_else(open).unwrap_or(self.order.len())
    }

    fn step(&mut self) {
        if let Some(setting) = self.order.get(self.at) {
            self.again.remove(&setting.id);
        }
        self.at = self.next_open(self.at + 1);
    }

    /// Goes back to the question before, answered or not; false at the first.
    pub fn back(&mut self) -> bool {
        self.pending = None;
        let before = self.order[..self.at].iter().rposition(|setting| applies(self.profile(), setting.id));
        match before {
            Some(at) => {
                self.at = at;
                self.left.remove(&self.order[at].id);
                true
            }
            None => false,
        }
    }

    /// Leaves the setting for later and goes on.
    pub fn leave_open(&mut self) {
        self.pending = None;
        if let Some(setting) = self.order.get(self.at) {
            self.left.insert(setting.id);
        }
        self.step();
    }

    /// Takes an answer as a person types it, the number of a choice, or nothing for the default.
    ///
    /// # Errors
    /// [`Fault`] with reason and correction for an answer that cannot be right; the question remains.
    pub fn answer(&mut self, typed: &str) -> Result<Answer, Fault> {
        self.pending = None;
        let Some(question) = self.question() else { return Ok(Answer::Kept) };
        let setting = question.setting;
        let profile = self.profile();
        let mut typed = typed.trim();
        let proposed;
        if typed.is_empty() {
            match (&question.now, question.follows) {
                (Stated::Is(_), None) => {
                    self.step();
                    return Ok(Answer::Kept);
                }
                (Stated::Is(_), Some(_)) if !question.again => {
                    self.step();
                    return Ok(Answer::Kept);
                }
                (_, Some(follows)) => {
                    proposed = follows.value;
                    typed = &proposed;
                }
                (_, None) => {
                    self.leave_open();
                    return Ok(Answer::LeftOpen);
                }
            }
        }
        // A choice may be given by its number.
        if setting.kind == ValueKind::Choice
            && let Some(choice) =
                typed.parse().ok().and_then(|number: usize| setting.options.get(number.checked_sub(1)?))
        {
            typed = choice.word;
        }
        let with = setting.with_typed(profile, typed)?;
        let text = with_value(&self.text, setting.id, &setting.value(&with))
            .map_err(|misfit| Fault::new(format!("line {}: {}", misfit.line, misfit.reason), misfit.correction))?;
        let reading = Profile::read(&text);
        if let Some(alone) = impossible(setting, &with) {
            // With all that is stated the correction says more.
            let (rules, _) = rules_for(None, &reading.profile);
            let same = |problem: &Problem| (&problem.pointer, problem.rule) == (&alone.pointer, alone.rule);
            let problem = check(&reading, rules).into_iter().find(same).unwrap_or(alone);
            return Err(Fault::new(problem.reason, problem.correction));
        }
        let (doubts, notes) = self.new_problems(setting, &reading);
        let value = setting.stated(&with).get().cloned().unwrap_or_default();
        self.pending = Some((text, reading));
        if doubts.is_empty() {
            self.confirm();
            return Ok(Answer::Taken { value, notes });
        }
        Ok(Answer::Doubtful(doubts))
    }

    /// Takes the doubtful answer as it was given.
    pub fn confirm(&mut self) {
        let Some((text, reading)) = self.pending.take() else { return };
        let (rules, _) = rules_for(None, &reading.profile);
        let own = self.order.get(self.at).map(|setting| setting.id);
        for (setting, _) in follows_anew(self.profile(), &reading.profile, rules) {
            let answered = matches!(setting.setting().stated(self.profile()), Stated::Is(_));
            if answered && Some(setting) != own {
                self.again.insert(setting);
            }
        }
        (self.text, self.reading) = (text, reading);
        if let Some(own) = own {
            self.left.remove(&own);
        }
        self.step();
    }

    /// What a check finds after an answer and did not find before: doubts, and notes on the setting itself. What comes again
    /// anyway is not among them, nor what is not answered yet.
    fn new_problems(&self, own: &Setting, after: &ParsedProfile) -> (Vec<Problem>, Vec<Problem>) {
        let (rules, _) = rules_for(None, &after.profile);
        let (old_rules, _) = rules_for(None, self.profile());
        let before = check(&self.reading, old_rules);
        let known = |new: &Problem| before.iter().any(|old| (&old.pointer, &old.reason) == (&new.pointer, &new.reason));
        let anew = follows_anew(self.profile(), &after.profile, rules);
        let asked_again = |new: &Problem| anew.iter().any(|(setting, _)| setting.pointer() == new.pointer);
        let answered = |new: &Problem| {
            super::setting(&new.pointer).is_none_or(|setting| matches!(setting.stated(&after.profile), Stated::Is(_)))
        };
        let new = check(after, rules).into_iter().filter(|new| !new.is_open() && !known(new));
        let (notes, doubts): (Vec<_>, Vec<_>) =
            new.filter(|new| !asked_again(new) && answered(new)).partition(|new| new.severity == Severity::Note);
        (doubts, notes.into_iter().filter(|note| note.pointer == own.pointer).collect())
    }

    /// Goes to the question about a setting; false if it is not asked of this install.
    pub fn go_to(&mut self, setting: SettingId) -> bool {
        self.pending = None;
        let at = self.order.iter().position(|known| known.id == setting && applies(self.profile(), setting));
        if let Some(at) = at {
            self.at = at;
            self.left.remove(&setting);
        }
        at.is_some()
    }
}

/// Why a value cannot be right whatever else is stated.
fn impossible(setting: &Setting, with: &Profile) -> Option<Problem> {
    let mut alone = Profile::default().json();
    super::settings::put(&mut alone, setting.pointer, setting.value(with));
    let problems = check(&Profile::read(&alone.to_string()), rule_set("none")?);
    problems.into_iter().find(|problem| problem.severity == Severity::Error)
}

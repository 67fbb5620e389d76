//! Whether a unit may be serviced, when it is due, which way of renewing suits, and a text the customer can read and sign.
//!
//! The rules are data, see `rules/decide.toml`; this module reads and applies them and knows none of them.

mod due;
mod memory;
mod method;
mod rules;
mod text;

pub use due::{Due, DueError, Marks, Measure, Policy, Run, due};
pub use memory::{Earlier, same_vehicle, standing};
pub use method::{Comparison, Costs, MethodError, Row, Unit, compare, policy};
pub use rules::{Answer, Question, Rule, Rules, RulesError, Status, rules};
pub use text::{Customer, Paragraph, customer_text, due_lines, rounded_distance};

use serde::{Deserialize, Serialize};

/// What comes of the findings, from mild to grave.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// Nothing speaks against a service.
    Service,
    /// A service, if the customer knows and agrees to what may come of it.
    ServiceWithConsent,
    /// Not a fluid service yet: find the cause first.
    DiagnoseFirst,
    /// Not a fluid service, and the unit must not run.
    Stop,
}

impl Verdict {
    /// Every verdict with its word and what it is called, from mild to grave.
    pub const ALL: [(Self, &'static str, &'static str); 4] = [
        (Self::Service, "service", "Service"),
        (Self::ServiceWithConsent, "service-with-consent", "Service with consent"),
        (Self::DiagnoseFirst, "diagnose-first", "Diagnose first"),
        (Self::Stop, "stop", "Stop, do not run"),
    ];
    /// The word in rules, JSON and addresses.
    pub fn word(self) -> &'static str {
        Self::ALL[self as usize].1
    }
    /// What people read.
    pub fn title(self) -> &'static str {
        Self::ALL[self as usize].2
    }
    /// The verdict a word names.
    pub fn named(word: &str) -> Option<Self> {
        Self::ALL.iter().find(|(_, w, _)| *w == word).map(|(v, _, _)| *v)
    }
    /// True when a service may be planned.
    pub fn permits_service(self) -> bool {
        self <= Self::ServiceWithConsent
    }
}

/// One answer to every question, as its place in the question's list.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Findings(pub(crate) Vec<usize>);

/// A word that is no question or no answer.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum FindingError {
    /// There is no such question.
    #[error("“{0}” is no question")]
    Question(String),
    /// The answer would say nothing about a unit of this family.
    #[error("{0} is not asked here: it says nothing about a unit whose level is found this way")]
    NotAsked(String),
    /// There is no such answer to this question.
    #[error("“{given}” is no answer to {question}")]
    Answer {
        /// The question's id.
        question: String,
        /// What was given.
        given: String,
        /// What may be given.
        known: Vec<String>,
    },
}

impl FindingError {
    /// What to do about it.
    pub fn hint(&self) -> String {
        match self {
            Self::Question(_) => "`decide --table` lists questions and answers".to_owned(),
            Self::NotAsked(question) => format!("leave {question} out"),
            Self::Answer { known, .. } => format!("one of: {}", known.join(", ")),
        }
    }
}

/// One rule that holds, in words.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Reason {
    /// The rule's permanent name.
    pub rule: String,
    /// What the rule alone would say.
    pub verdict: Verdict,
    /// Why.
    pub because: String,
    /// What to do.
    pub cure: String,
    /// What would take this reason away.
    pub change: String,
    /// Where the rule comes from, or that it has no source.
    pub source: String,
}

/// Another answer to one question that would lead to another verdict, everything else staying as it is.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Change {
    /// The question's id.
    pub question: String,
    /// The question in words.
    pub ask: String,
    /// The answers that would do it, in words.
    pub answers: Vec<String>,
    /// The verdict then.
    pub verdict: Verdict,
}

/// What the findings come to.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Judgement {
    /// The one verdict.
    pub verdict: Verdict,
    /// The rules that decided it.
    pub reasons: Vec<Reason>,
    /// Rules that hold as well but did not decide; the plain one that always holds is left out.
    pub noted: Vec<Reason>,
    /// Single answers that would make it milder.
    pub milder_if: Vec<Change>,
    /// Answers still to be given that would make it graver.
    pub open: Vec<Change>,
}

impl Rules {
    /// Nothing answered.
    pub fn nothing_found(&self) -> Findings {
        Findings(self.questions.iter().map(|question| question.without).collect())
    }

    /// Nothing answered about a unit of this family; what is not asked of it holds no rule up and none down.
    pub fn nothing_found_of(&self, family: sheet::Family) -> Findings {
        let answer = |q: &Question| if q.asked_of(family) { q.without } else { q.answers.len() };
        Findings(self.questions.iter().map(answer).collect())
    }

    /// The same findings with one answer given.
    ///
    /// # Errors
    /// [`FindingError`] for a word that is no question or no answer, or a question that is not asked of this unit.
    pub fn found(&self, mut findings: Findings, question: &str, answer: &str) -> Result<Findings, FindingError> {
        let at = self.questions.iter().position(|q| q.id == question);
        let at = at.ok_or_else(|| FindingError::Question(question.to_owned()))?;
        let answers = &self.questions[at].answers;
        if findings.0[at] >= answers.len() {
            return Err(FindingError::NotAsked(question.to_owned()));
        }
        let given = answers.iter().position(|a| a.word == answer).ok_or_else(|| FindingError::Answer {
            question: question.to_owned(),
            given: answer.to_owned(),
            known: answers.iter().map(|a| a.word.clone()).collect(),
        })?;
        findings.0[at] = given;
        Ok(findings)
    }

    /// Each question with the answer it has.
    pub fn answers<'a>(&'a self, findings: &'a Findings) -> impl Iterator<Item = (&'a Question, &'a Answer)> {
        self.questions.iter().zip(&findings.0).filter_map(|(question, at)| Some((question, question.answers.get(*at)?)))
    }

    /// The verdict alone.
    pub fn verdict(&self, findings: &Findings) -> Verdict {
        self.gravest(self.holding(findings))
    }

    /// The verdict with its reasons and what would change it.
    pub fn judge(&self, findings: &Findings) -> Judgement {
        let verdict = self.verdict(findings);
        let hold = self.holding(findings);
        let holding = self.rules.iter().enumerate().filter(|(i, _)| hold & (1 << i) != 0).map(|(_, rule)| rule);
        let (mut reasons, mut noted) = (Vec::new(), Vec::new());
        for rule in holding {
            if rule.verdict == verdict {
                reasons.push(rule.reason());
            } else if !rule.when.is_empty() {
                noted.push(rule.reason());
            }
        }
        let mut milder_if = Vec::new();
        let mut open = Vec::new();
        let asked = self.questions.iter().enumerate().filter(|(at, question)| findings.0[*at] < question.answers.len());
        for (at, question) in asked {
            for (then, answers) in self.other_verdicts(findings, at) {
                let change =
                    Change { question: question.id.clone(), ask: question.ask.clone(), answers, verdict: then };
                match then < verdict {
                    true => milder_if.push(change),
                    false if question.answers[findings.0[at]].unknown => open.push(change),
                    false => {}
                }
            }
        }
        Judgement { verdict, reasons, noted, milder_if, open }
    }

    /// The other verdicts that other answers to one question would lead to, mildest first.
    fn other_verdicts(&self, findings: &Findings, at: usize) -> Vec<(Verdict, Vec<String>)> {
        let now = self.verdict(findings);
        let mut found: Vec<(Verdict, Vec<String>)> = Vec::new();
        let mut other = findings.clone();
        for (index, answer) in self.questions[at].answers.iter().enumerate().filter(|(_, answer)| !answer.unknown) {
            other.0[at] = index;
            let then = self.verdict(&other);
            match found.iter_mut().find(|(verdict, _)| *verdict == then) {
                Some((_, answers)) => answers.push(answer.says.clone()),
                None if then != now => found.push((then, vec![answer.says.clone()])),
                None => {}
            }
        }
        found.sort_by_key(|(verdict, _)| *verdict);
        found
    }
}

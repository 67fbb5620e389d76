//! Reading the rules from their file, and finding out which of them hold.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use serde::{Deserialize, Serialize};
use sheet::Family;

use super::{Findings, Reason, Verdict};

/// Where a rule comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Status {
    /// Read in the source itself.
    Read,
    /// Somebody else's report of the source.
    SecondHand,
    /// Follows from arithmetic or from another part of this program.
    Derived,
    /// From memory.
    FromMemory,
    /// Common practice, no source.
    CommonPractice,
}

/// One answer to a question.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Answer {
    /// In rules, arguments and addresses.
    pub word: String,
    /// What people read.
    pub says: String,
    /// True when it is no finding at all: it stands outside the order from best to worst.
    #[serde(default)]
    pub unknown: bool,
}

/// One question about the unit.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Question {
    /// In rules, arguments and addresses.
    pub id: String,
    /// What people read.
    pub ask: String,
    /// How it is found out.
    pub how: String,
    /// Worked out from other figures rather than asked.
    pub derived: bool,
    /// Families of which it is not asked, because the answer would say nothing there.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub not_for: Vec<Family>,
    /// The answers, from best to worst.
    pub answers: Vec<Answer>,
    /// Place of the answer that is taken when nobody answers.
    #[serde(skip)]
    pub without: usize,
}

/// One rule.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Rule {
    /// Its permanent name.
    pub id: String,
    /// What it says when it holds.
    pub verdict: Verdict,
    /// Question and the answers with which it holds; every question listed must have one of them.
    pub when: BTreeMap<String, Vec<String>>,
    /// Why.
    pub because: String,
    /// What to do.
    pub cure: String,
    /// What would take this reason away.
    pub change: String,
    /// Where it is written; empty for none.
    pub source: String,
    /// How it came here.
    pub status: Status,
}

/// Questions and rules that fit each other.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Rules {
    /// The questions, in the order they are asked.
    pub questions: Vec<Question>,
    /// The rules, gravest first.
    pub rules: Vec<Rule>,
    /// For each question and answer, and last for the question not being asked, the rules left standing, one bit a rule.
    #[serde(skip)]
    standing: Vec<Vec<u64>>,
    /// The rules of each verdict, one bit a rule, from mild to grave.
    #[serde(skip)]
    by_verdict: [u64; 4],
}

/// What is wrong with a file of rules.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("the rules cannot be used: {0}")]
pub struct RulesError(pub String);

const SHIPPED: &str = include_str!("../../rules/decide.toml");
/// One bit a rule.
const MOST_RULES: usize = 64;

/// The rules that come with the program.
///
/// # Errors
/// [`RulesError`] when the program's own file is damaged.
pub fn rules() -> Result<&'static Rules, RulesError> {
    static RULES: LazyLock<Result<Rules, RulesError>> = LazyLock::new(|| Rules::parse(SHIPPED));
    RULES.as_ref().map_err(Clone::clone)
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    question: Vec<RawQuestion>,
    rule: Vec<RawRule>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawQuestion {
    id: String,
    ask: String,
    how: String,
    without: String,
    #[serde(default)]
    derived: bool,
    #[serde(default)]
    not_for: Vec<String>,
    answers: Vec<Answer>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawRule {
    id: String,
    verdict: String,
    when: BTreeMap<String, Vec<String>>,
    because: String,
    cure: String,
    change: String,
    #[serde(default)]
    source: String,
    status: Status,
}

impl Rules {
    /// Reads a file of rules.
    ///
    /// # Errors
    /// [`RulesError`] for what is no TOML, a word that nothing answers to, a name used twice, no rule that always holds,
    /// or more than 64 rules.
    pub fn parse(text: &str) -> Result<Self, RulesError> {
        let file: File = toml::from_str(text).map_err(|why| RulesError(why.to_string()))?;
        let questions = file.question.into_iter().map(question).collect::<Result<Vec<_>, _>>()?;
        let rules = file.rule.into_iter().map(rule).collect::<Result<Vec<_>, _>>()?;
        if rules.len() > MOST_RULES {
            return Err(RulesError(format!("{} rules; {MOST_RULES} are the most", rules.len())));
        }
        once(questions.iter().map(|q| q.id.as_str()))?;
        once(rules.iter().map(|r| r.id.as_str()))?;
        if !rules.iter().any(|rule| rule.when.is_empty()) {
            return Err(RulesError("no rule holds always, so some findings would have no verdict".to_owned()));
        }
        for rule in &rules {
            for (id, words) in &rule.when {
                let question = questions.iter().find(|q| q.id == *id);
                let question = question.ok_or_else(|| wrong(&rule.id, &format!("{id} is no question")))?;
                let strange = words.iter().find(|word| !question.answers.iter().any(|a| a.word == **word));
                if let Some(word) = strange {
                    return Err(wrong(&rule.id, &format!("{word} is no answer to {id}")));
                }
            }
        }
        let standing = questions.iter().map(|q| {
            let unasked = bits(&rules, |rule| !rule.when.contains_key(&q.id));
            q.answers.iter().map(|a| left_standing(&rules, q, a)).chain([unasked]).collect()
        });
        let by_verdict = Verdict::ALL.map(|(verdict, _, _)| bits(&rules, |rule| rule.verdict == verdict));
        Ok(Self { standing: standing.collect(), by_verdict, questions, rules })
    }

    /// The rules that hold, one bit each.
    pub(super) fn holding(&self, findings: &Findings) -> u64 {
        let all = if self.rules.len() == MOST_RULES { u64::MAX } else { (1 << self.rules.len()) - 1 };
        self.standing
            .iter()
            .zip(&findings.0)
            .fold(all, |hold, (answers, at)| hold & answers.get(*at).copied().unwrap_or(0))
    }

    /// The gravest verdict of some rules, one bit each.
    pub(super) fn gravest(&self, hold: u64) -> Verdict {
        // Some rule always holds, so the last arm is for damaged findings: the careful answer.
        let gravest = self.by_verdict.iter().rposition(|bits| bits & hold != 0);
        gravest.map_or(Verdict::Stop, |at| Verdict::ALL[at].0)
    }

    /// Every combination of answers there is, in order.
    pub fn every_finding(&self) -> impl Iterator<Item = Findings> + '_ {
        let sizes: Vec<usize> = self.questions.iter().map(|q| q.answers.len()).collect();
        let mut next = Some(vec![0; sizes.len()]);
        std::iter::from_fn(move || {
            let this = next.take()?;
            let mut after = this.clone();
            for (digit, size) in after.iter_mut().zip(&sizes).rev() {
                *digit += 1;
                if *digit < *size {
                    next = Some(after);
                    break;
                }
                *digit = 0;
            }
            Some(Findings(this))
        })
    }
}

fn left_standing(rules: &[Rule], question: &Question, answer: &Answer) -> u64 {
    bits(rules, |rule| rule.when.get(&question.id).is_none_or(|words| words.contains(&answer.word)))
}

fn bits(rules: &[Rule], chosen: impl Fn(&Rule) -> bool) -> u64 {
    rules.iter().enumerate().filter(|(_, rule)| chosen(rule)).fold(0, |bits, (i, _)| bits | 1 << i)
}

fn wrong(id: &str, what: &str) -> RulesError {
    RulesError(format!("{id}: {what}"))
}

fn once<'a>(names: impl Iterator<Item = &'a str>) -> Result<(), RulesError> {
    let mut seen = std::collections::BTreeSet::new();
    let mut names = names;
    names.find(|name| !seen.insert(*name)).map_or(Ok(()), |name| Err(wrong(name, "this name is used twice")))
}

fn question(raw: RawQuestion) -> Result<Question, RulesError> {
    once(raw.answers.iter().map(|a| a.word.as_str()))?;
    let without = raw.answers.iter().position(|a| a.word == raw.without);
    let without = without.ok_or_else(|| wrong(&raw.id, &format!("{} is none of its answers", raw.without)))?;
    let family =
        |word: &String| Family::named(word).ok_or_else(|| wrong(&raw.id, &format!("{word} is no procedure family")));
    let not_for = raw.not_for.iter().map(family).collect::<Result<_, _>>()?;
    let RawQuestion { id, ask, how, derived, answers, .. } = raw;
    Ok(Question { id, ask, how, derived, not_for, answers, without })
}

fn rule(raw: RawRule) -> Result<Rule, RulesError> {
    let verdict =
        Verdict::named(&raw.verdict).ok_or_else(|| wrong(&raw.id, &format!("{} is no verdict", raw.verdict)))?;
    if raw.source.trim().is_empty() != (raw.status == Status::CommonPractice) {
        return Err(wrong(&raw.id, "a rule has a source, or says that it is common practice, and not both"));
    }
    let RawRule { id, when, because, cure, change, source, status, .. } = raw;
    Ok(Rule { id, verdict, when, because, cure, change, source, status })
}

impl Question {
    /// True where the answer says something about a unit of this family.
    pub fn asked_of(&self, family: Family) -> bool {
        !self.not_for.contains(&family)
    }
}

impl Rule {
    /// Where it comes from, for people.
    pub fn source_words(&self) -> String {
        let status = match self.status {
            Status::CommonPractice => return "common practice, no source".to_owned(),
            Status::Read => "read",
            Status::SecondHand => "second-hand",
            Status::Derived => "derived",
            Status::FromMemory => "from memory",
        };
        format!("{status}: {}", self.source)
    }

    pub(super) fn reason(&self) -> Reason {
        Reason {
            rule: self.id.clone(),
            verdict: self.verdict,
            because: self.because.clone(),
            cure: self.cure.clone(),
            change: self.change.clone(),
            source: self.source_words(),
        }
    }
}

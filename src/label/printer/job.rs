//! A job at the printer, and how far it is (RFC 8011 §5.3.7).

use super::wire::Told;

/// What the printer says of one job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Job {
    /// The printer's number for it.
    pub number: i32,
    /// The name it was sent under, where the printer says it.
    pub name: Option<String>,
    pub state: JobState,
    /// Why it stands still or ended, in words; often empty.
    pub said: String,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum JobState {
    /// Not at its end: it waits, prints, or is held up.
    Going,
    /// It came out.
    Completed,
    /// The printer calls it done, with errors.
    CompletedWithErrors,
    /// Somebody called it off.
    Canceled,
    /// The printer gave it up.
    Aborted,
}

/// What is asked about jobs.
pub(super) const ATTRIBUTES: [&str; 4] = ["job-id", "job-name", "job-state", "job-state-reasons"];

/// How much of a name tells it from every other: some printers keep no more of a long one.
const TELLING: usize = 40;

impl Job {
    /// Whether it was sent under this name; a printer that does not say names gives no reason to doubt it.
    pub fn may_be(&self, name: &str) -> bool {
        self.name.as_deref().is_none_or(|known| is_called(known, name))
    }

    /// Whether the printer says that it was sent under this name.
    pub fn is(&self, name: &str) -> bool {
        self.name.as_deref().is_some_and(|known| is_called(known, name))
    }

    /// None when the printer does not even say its number and state.
    pub(super) fn read(told: Told) -> Option<Self> {
        let number = *told.numbers("job-id").first()?;
        let reasons = told.texts("job-state-reasons");
        let with_errors = reasons.iter().any(|reason| reason == "job-completed-with-errors");
        let state = match told.numbers("job-state").first()? {
            7 => JobState::Canceled,
            8 => JobState::Aborted,
            9 if with_errors => JobState::CompletedWithErrors,
            9 => JobState::Completed,
            _ => JobState::Going,
        };
        let held = told.numbers("job-state").first() == Some(&4);
        let name = told.texts("job-name").into_iter().next();
        let said = match state {
            JobState::Going if held => "held at the printer".into(),
            JobState::Going => String::new(),
            _ => reasons.iter().find_map(|reason| words(reason)).unwrap_or_default().into(),
        };
        Some(Self { number, name, state, said })
    }
}

/// Why a job ended, where that is of use to whoever asked for it.
fn words(reason: &str) -> Option<&'static str> {
    Some(match reason {
        "job-canceled-by-user" | "job-canceled-by-operator" | "job-canceled-at-device" => "cancelled at the printer",
        "document-format-error" | "document-unprintable-error" | "unsupported-document-format" => {
            "the printer cannot read the label"
        }
        "document-access-error" => "the label did not arrive whole",
        "resources-are-not-ready" => "the labels it needs are not loaded",
        "aborted-by-system" => "the printer gave it up",
        _ => return None,
    })
}

fn is_called(known: &str, name: &str) -> bool {
    known == name || known.len() >= TELLING && name.starts_with(known)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_job_is_known_by_its_name_or_most_of_it() {
        let job = |name: Option<&str>| Job {
            number: 1,
            name: name.map(str::to_owned),
            state: JobState::Going,
            said: String::new(),
        };
        let name = "brakeside-1795617060000-000000000012-the-request-that-asked-for-it";
        let answers = |known| (job(known).is(name), job(known).may_be(name));
        assert_eq!(answers(Some(name)), (true, true));
        assert_eq!(answers(Some(&name[..63])), (true, true));
        assert_eq!(answers(None), (false, true));
        for other in ["", "brakeside-", "brakeside-1795617060000-000000000013-the-request-that-asked-for-it"] {
            assert_eq!(answers(Some(other)), (false, false), "{other}");
        }
    }
}

//! The answers to a message: Slint shows their words, and what each asks for stays beside them.

use std::any::Any;
use std::cell::RefCell;

use slint::{Model, ModelNotify, ModelTracker};

use super::{AnswerRow, Words};
use crate::bench::screen::{Intent, Reply};

/// The model behind the message's answers.
#[derive(Default)]
pub struct Answers {
    given: RefCell<Vec<(AnswerRow, Intent)>>,
    notify: ModelNotify,
}

impl Answers {
    /// Offers these answers.
    pub fn offer(&self, replies: &[Reply], words: Words) {
        let given: Vec<_> = replies.iter().map(|reply| (row(reply, words), reply.intent.clone())).collect();
        if *self.given.borrow() != given {
            self.given.replace(given);
            self.notify.reset();
        }
    }

    /// What this answer asks for.
    pub fn intent(&self, index: usize) -> Option<Intent> {
        self.given.borrow().get(index).map(|(_, intent)| intent.clone())
    }
}

fn row(reply: &Reply, words: Words) -> AnswerRow {
    AnswerRow { text: words.say(&reply.text).into(), destroys: reply.destroys }
}

impl Model for Answers {
    type Data = AnswerRow;

    fn row_count(&self) -> usize {
        self.given.borrow().len()
    }

    fn row_data(&self, row: usize) -> Option<AnswerRow> {
        self.given.borrow().get(row).map(|(row, _)| row.clone())
    }

    fn model_tracker(&self) -> &dyn ModelTracker {
        &self.notify
    }

    fn as_any(&self) -> &dyn Any {
        self
    }
}

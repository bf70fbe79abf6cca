//! Who is working here: a name, and a PIN where somebody wants one.

use super::{Desk, Over, Pin, Request};
use crate::bench::api::Person;
use crate::bench::screen;

/// Digits of a PIN.
const SHORTEST: usize = 4;
const LONGEST: usize = 8;

impl Desk {
    /// Who no longer works here signs nothing here either, nor whoever chose a name that has a PIN by now without it.
    pub(super) fn take_people(&mut self, people: Vec<Person>) {
        self.own.person = self.own.person.take().and_then(|at_work| {
            let still = |person: &&Person| person.id == at_work.id && (at_work.pin || !person.pin);
            people.iter().find(still).cloned()
        });
        self.heard.people = Some(people);
    }

    pub(super) fn choose_person(&mut self, id: i64) {
        let Some(person) = self.heard.people.iter().flatten().find(|person| person.id == id).cloned() else { return };
        if person.pin {
            self.over = Some(Over::Pin { person, typed: Pin::default(), wrong: false });
        } else {
            self.works_here(Some(person));
        }
    }

    pub(super) fn nobody(&mut self) {
        self.measured = None;
        self.works_here(None);
    }

    pub(super) fn pin_digit(&mut self, digit: u8) {
        if let Some(Over::Pin { typed, wrong, .. }) = &mut self.over
            && digit <= 9
            && typed.0.len() < LONGEST
        {
            typed.0.push(char::from(b'0' + digit));
            *wrong = false;
        }
    }

    pub(super) fn pin_erase(&mut self) {
        if let Some(Over::Pin { typed, .. }) = &mut self.over {
            typed.0.pop();
        }
    }

    pub(super) fn enter(&mut self) {
        if let Some(Over::Pin { person, typed, .. }) = &self.over
            && typed.0.len() >= SHORTEST
        {
            let asked = Request::Enter { person: person.id, pin: typed.clone() };
            if !self.asking.asked.contains(&asked) {
                self.asking.wishes.push(asked);
            }
        }
    }

    /// The PIN was right.
    pub(super) fn entered(&mut self, id: i64) {
        if let Some(Over::Pin { person, .. }) = &self.over
            && person.id == id
        {
            let person = person.clone();
            self.works_here(Some(person));
        }
    }

    pub(super) fn wrong_pin(&mut self, id: i64) {
        if let Some(Over::Pin { person, typed, wrong }) = &mut self.over
            && person.id == id
        {
            typed.0.clear();
            *wrong = true;
        }
    }

    /// Leaves the page; a length that waited for a name is taken now.
    fn works_here(&mut self, person: Option<Person>) {
        self.own.person = person;
        self.over = None;
        self.accept();
    }

    pub(super) fn people(&self) -> screen::People {
        let people: Vec<screen::Person> = self.heard.people.iter().flatten().map(shown).collect();
        let at_work = self.own.person.as_ref().and_then(|at_work| people.iter().position(|one| one.id == at_work.id));
        screen::People { people, at_work, name_needed: self.measured.is_some() }
    }
}

fn shown(person: &Person) -> screen::Person {
    screen::Person { id: person.id, name: person.name.clone(), pin: person.pin }
}

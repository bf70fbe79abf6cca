//! Who is working here.

use slint::{ComponentHandle, ModelRc, VecModel};

use super::{App, PeopleAdapter, PersonRow, Tell, always, index, update};
use crate::bench::screen::{Intent, People, Person};

/// Sends what is touched here to `tell`.
pub fn connect(app: &App, tell: &Tell) {
    let adapter = app.global::<PeopleAdapter>();
    adapter.set_people(ModelRc::new(VecModel::default()));
    adapter.on_nobody(always(tell, Intent::Nobody));
    let tell = tell.clone();
    adapter.on_person(move |id| {
        if let Ok(id) = id.parse() {
            tell(Intent::Person(id));
        }
    });
}

/// Shows these people.
pub fn show(app: &App, people: &People) {
    let adapter = app.global::<PeopleAdapter>();
    update(&adapter.get_people(), people.people.iter().map(row));
    adapter.set_at_work(index(people.at_work));
    adapter.set_name_needed(people.name_needed);
}

fn row(person: &Person) -> PersonRow {
    PersonRow { id: person.id.to_string().into(), name: person.name.as_str().into(), pin: person.pin }
}

//! The pages that can be gone to from anywhere, as they are shown.

use super::{Desk, Over};
use crate::bench::screen::{Door, Join, Pin, Settings, View};

impl Desk {
    /// None when what it belongs to is gone.
    pub(super) fn over_view(&self, over: &Over) -> Option<View> {
        Some(match over {
            Over::Keypad { pad, .. } => View::Keypad(self.keypad(pad)?),
            Over::Remake { mark, reported, chosen, .. } => {
                View::Remake(Self::remake_view(mark, reported.as_deref(), *chosen))
            }
            Over::Labels => View::Labels(self.labels()),
            Over::Settings => View::Settings(self.settings()),
            Over::People => View::People(self.people()),
            Over::Pin { person, typed, wrong } => {
                View::Pin(Pin { name: person.name.clone(), typed: typed.0.len(), wrong: *wrong })
            }
            Over::Join { shown } => View::Join(self.join(*shown)),
        })
    }

    fn settings(&self) -> Settings {
        Settings {
            bench: self.own.bench.name.clone(),
            endpoint: self.own.endpoint.clone(),
            version: env!("CARGO_PKG_VERSION").into(),
            printer: self.printer_said(),
            scan_labels: self.own.scan_labels == Some(true),
            scanner: self.scanner.clone(),
            test_label: self.heard.test_label.as_ref().map(|(_, picture)| picture.clone()),
        }
    }

    /// Codes that open phone pages: where each leads, and what it is called.
    fn doors(&self) -> Vec<(String, String)> {
        let mut doors = vec![("join".into(), "This phone joins the shop".into())];
        doors.push(("people".into(), "Names and PINs of who works here".into()));
        // The order at hand first.
        let mut orders: Vec<&str> = self.heard.orders.iter().flatten().map(|order| order.order.as_str()).collect();
        orders.sort_by_key(|order| self.at.order() != Some(*order));
        doors.extend(orders.iter().map(|order| (format!("load/{order}"), format!("Load check of order {order}"))));
        doors
    }

    /// After the last comes the first again.
    pub(super) fn show_door(&mut self, door: usize) {
        let doors = self.doors().len();
        if let Some(Over::Join { shown }) = &mut self.over {
            *shown = door % doors;
        }
    }

    /// Where the door that is shown leads.
    pub(super) fn shown_door(&self) -> Option<String> {
        let Some(Over::Join { shown }) = self.over else { return None };
        self.doors().into_iter().nth(shown).map(|(to, _)| to)
    }

    fn join(&self, shown: usize) -> Join {
        let to = self.shown_door();
        let picture = self.heard.door.as_ref().filter(|(of, ..)| Some(of) == to.as_ref());
        let base = self.heard.address.as_deref().unwrap_or_default();
        let door = |(to, title): (String, String)| Door { title, address: format!("{base}/{to}") };
        Join {
            doors: self.doors().into_iter().map(door).collect(),
            shown,
            picture: picture.map(|(.., picture)| picture.clone()),
        }
    }
}

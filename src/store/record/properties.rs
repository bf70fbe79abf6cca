//! Whatever happens, and in whatever order: how far each piece is follows from it.

use proptest::prelude::*;

use super::tests::{bench, record};
use super::*;
use crate::store::State;
use crate::store::fixture::Kept;

/// What a person with a pencil would keep of one piece.
#[derive(Default)]
struct Pencil {
    steps: usize,
    done: usize,
    holder: Option<Bench>,
    bent: bool,
    loaded: bool,
    installed: bool,
    why: Option<String>,
    mm: Option<f64>,
}

impl Pencil {
    /// Whether the event is believed, and then what becomes of the piece.
    fn hears(&mut self, event: &Event) -> bool {
        let mine = |bench: &Option<Bench>| bench.is_none() || self.holder.is_none() || self.holder == *bench;
        match event {
            Event::Step { done, bench, take_over, let_go }
                if !self.bent && *done <= self.steps && (*take_over || mine(bench) && !self.gone_on(*done, bench)) =>
            {
                (self.done, self.holder) = (*done, bench.clone().filter(|_| !let_go));
            }
            Event::Measured { mm, bench, .. } if bench.is_none() || !self.bent && mine(bench) => self.mm = Some(*mm),
            Event::Bent { bench } if !self.bent && mine(bench) => self.bent = true,
            Event::Reopened if self.bent && !self.loaded && !self.installed => self.bent = false,
            Event::Loaded if self.bent && !self.loaded => self.loaded = true,
            Event::Installed if self.bent && !self.installed => self.installed = true,
            Event::Reported { why } => self.why = Some(why.clone()),
            _ => return false,
        }
        true
    }

    /// Whether a bench that takes the piece knows less of it than was said.
    fn gone_on(&self, done: usize, bench: &Option<Bench>) -> bool {
        bench.is_some() && self.holder.is_none() && done < self.done
    }

    fn state(&self) -> State {
        if self.installed {
            State::Installed
        } else if self.loaded {
            State::Loaded
        } else if self.bent {
            State::Bent
        } else if self.done > 0 {
            State::Started
        } else {
            State::Waiting
        }
    }
}

fn any_event() -> impl Strategy<Value = Event> {
    let a_bench = || prop::option::of(prop_oneof![Just(bench("door")), Just(bench("window"))]);
    prop_oneof![
        4 => (0..20_usize, a_bench(), prop::bool::weighted(0.2), prop::bool::weighted(0.2))
            .prop_map(|(done, bench, take_over, let_go)| Event::Step { done, bench, take_over, let_go }),
        1 => (0.1..4000.0, a_bench())
            .prop_map(|(mm, bench)| Event::Measured { mm, accepted: true, as_wanted: false, bench }),
        2 => a_bench().prop_map(|bench| Event::Bent { bench }),
        2 => Just(Event::Reopened),
        1 => Just(Event::Loaded),
        1 => Just(Event::Installed),
        1 => "[a-z\"\\\\ ½]{0,4}".prop_map(|why| Event::Reported { why }),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(32))]
    #[test]
    fn the_state_follows(events in prop::collection::vec((0..3_usize, any_event()), 0..36)) {
        const CODES: [&str; 3] = ["A1", "A2", "A3"];
        let kept = Kept::with(&CODES);
        let rows = kept.pieces("2041", 0, 9).unwrap();
        let mut pencil: Vec<_> = rows.iter().map(|row| Pencil { steps: row.steps, ..Pencil::default() }).collect();
        for (n, (piece, event)) in events.iter().enumerate() {
            let recorded = record(&kept, CODES[*piece], &[(&n.to_string(), event.clone())]).remove(0);
            prop_assert_eq!(recorded.is_ok(), pencil[*piece].hears(event));
        }
        let kept = kept.reopened();
        for (row, pencil) in kept.pieces("2041", 0, 9).unwrap().iter().zip(&pencil) {
            prop_assert_eq!(row.done, pencil.done);
            prop_assert_eq!(row.state, pencil.state());
            prop_assert_eq!(&row.reported, &pencil.why);
            prop_assert_eq!(&row.bench, &pencil.holder.clone().filter(|_| !pencil.bent));
            prop_assert_eq!(row.measured.as_ref().map(|measured| measured.mm), pencil.mm);
            let single = kept.piece(&row.code).unwrap().unwrap().row;
            prop_assert_eq!(&single, row);
        }
        let order = kept.order("2041").unwrap().unwrap();
        let count = |holds: fn(&Pencil) -> bool| pencil.iter().filter(|pencil| holds(pencil)).count();
        prop_assert_eq!(
            [order.pieces, order.started, order.bent, order.loaded, order.installed, order.reported],
            [
                3,
                count(|pencil| pencil.state() == State::Started),
                count(|pencil| pencil.bent),
                count(|pencil| pencil.loaded),
                count(|pencil| pencil.installed),
                count(|pencil| pencil.why.is_some()),
            ]
        );
    }
}

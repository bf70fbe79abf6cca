//! One step of one piece: its number, its drawing, its working.

use slint::{ComponentHandle, ModelRc, VecModel};

use super::labels::print_state;
use super::{
    App, CardAdapter, Shell, Tell, Words, WorkingInput, WorkingText, always, count, number, picture, unbroken,
};
use crate::bench::screen::{Card, CardOn, Intent, PrintState};
use crate::trade::caution::Signal;
use crate::trade::working::Working;

/// Sends what is touched here to `tell`.
pub fn connect(app: &App, tell: &Tell) {
    let adapter = app.global::<CardAdapter>();
    adapter.on_take_back(always(tell, Intent::TakeBack));
    adapter.on_why(always(tell, Intent::Working));
    adapter.on_measure(always(tell, Intent::OpenKeypad));
    adapter.on_pause(always(tell, Intent::Pause));
    adapter.on_remake(always(tell, Intent::OpenRemake));
    adapter.on_print_label(always(tell, Intent::PrintLabel));
    adapter.on_reprint(always(tell, Intent::Reprint));
    adapter.on_close_unscanned(always(tell, Intent::CloseUnscanned));
}

/// Shows this card.
pub fn show(app: &App, card: &Card, words: Words) {
    let adapter = app.global::<CardAdapter>();
    if (adapter.get_mark().as_str(), adapter.get_step()) != (card.mark.as_str(), count(card.step)) {
        app.global::<Shell>().set_layer(false);
    }
    adapter.set_order(card.order.as_str().into());
    adapter.set_job(card.job.as_str().into());
    adapter.set_mark(card.mark.as_str().into());
    adapter.set_place(words.say(&card.place).into());
    adapter.set_step(count(card.step));
    adapter.set_steps(count(card.steps));
    adapter.set_title(words.say(&card.title).into());
    adapter.set_has_number(!card.number.is_empty());
    adapter.set_number(number::parts(&words.say(&card.number)));
    adapter.set_number_caption(unbroken(&words.say(&card.number_caption)).into());
    adapter.set_text(unbroken(&words.say(&card.text)).into());
    adapter.set_caution(card.caution.as_ref().map(|caution| words.say(&caution.text)).unwrap_or_default().into());
    adapter.set_warning(card.caution.as_ref().is_some_and(|caution| caution.signal == Signal::Warning));
    adapter.set_picture(picture::image(card.picture.as_ref(), adapter.get_picture()));
    adapter.set_has_working(card.working.is_some());
    adapter.set_working(card.working.as_ref().map(|text| working(text, words)).unwrap_or_default());
    adapter.set_working_open(card.working_open);
    adapter.set_batch_at(card.batch.map_or(0, |batch| count(batch.at)));
    adapter.set_batch_of(card.batch.map_or(0, |batch| count(batch.of)));
    adapter.set_made_again(card.remade.is_some());
    adapter.set_remade(card.remade.as_deref().map(|why| words.say(why)).unwrap_or_default().into());
    adapter.set_on(on(card.on));
    adapter.set_tolerance(card.tolerance.as_deref().map(|text| unbroken(&words.say(text))).unwrap_or_default().into());
    adapter.set_asked(card.label_asked);
    let label = card.label.as_ref();
    adapter.set_has_label(label.is_some());
    adapter.set_printer(label.is_some_and(|label| label.printer));
    adapter.set_print(print_state(label.map_or(PrintState::None, |label| label.state)));
    // What the sign beside it says already is not said twice.
    let said = label.map(|label| label.said.as_str()).filter(|said| *said != "the printer gave it up");
    adapter.set_said(said.map(|said| words.say(said)).unwrap_or_default().into());
}

fn on(on: CardOn) -> super::CardOn {
    match on {
        CardOn::LookOn => super::CardOn::LookOn,
        CardOn::Done => super::CardOn::Done,
        CardOn::AsItShould => super::CardOn::AsItShould,
        CardOn::PrintLabel => super::CardOn::PrintLabel,
        CardOn::LabelIsOn => super::CardOn::LabelIsOn,
    }
}

fn working(working: &Working, words: Words) -> WorkingText {
    let inputs = working
        .inputs
        .iter()
        .map(|input| WorkingInput { name: words.say(&input.name).into(), value: words.say(&input.value).into() });
    WorkingText {
        what: words.say(&working.what).into(),
        rule: words.say(&working.rule).into(),
        inputs: ModelRc::new(VecModel::from_iter(inputs)),
        result: words.say(&working.result).into(),
        source: words.say(&working.source).into(),
    }
}

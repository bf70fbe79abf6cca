//! One step of one piece: its number, its drawing, its working.

use std::cell::Cell;

use slint::{ComponentHandle, Image, ModelRc, Rgba8Pixel, SharedPixelBuffer, VecModel};

use super::{App, CardAdapter, Tell, Tokens, WorkingInput, WorkingText, count, number};
use crate::bench::screen::{Card, Intent, Picture};
use crate::trade::caution::Signal;
use crate::trade::working::Working;

/// Sends what is touched here to `tell`.
pub fn connect(app: &App, tell: &Tell) {
    let adapter = app.global::<CardAdapter>();
    {
        let tell = tell.clone();
        adapter.on_why(move || tell(Intent::Working));
    }
    let (tell, app) = (tell.clone(), app.as_weak());
    let said = Cell::new((0, 0));
    adapter.on_canvas(move |width, height| {
        let Some(app) = app.upgrade() else { return };
        let scale = app.window().scale_factor();
        let size = ((width * scale) as u32, (height * scale) as u32);
        // Width and height change one after the other, and a card that returns asks again for what it has.
        if size.0 > 0 && size.1 > 0 && said.replace(size) != size {
            tell(Intent::Canvas { width: size.0, height: size.1, dark: app.global::<Tokens>().get_dark() });
        }
    });
}

/// Shows this card.
pub fn show(app: &App, card: &Card) {
    let adapter = app.global::<CardAdapter>();
    adapter.set_order(card.order.as_str().into());
    adapter.set_job(card.job.as_str().into());
    adapter.set_mark(card.mark.as_str().into());
    adapter.set_place(card.place.as_str().into());
    adapter.set_step(count(card.step));
    adapter.set_steps(count(card.steps));
    adapter.set_title(card.title.as_str().into());
    adapter.set_has_number(!card.number.is_empty());
    adapter.set_number(number::parts(&card.number));
    adapter.set_number_caption(card.number_caption.as_str().into());
    adapter.set_text(card.text.as_str().into());
    adapter.set_caution(card.caution.as_ref().map(|caution| caution.text.as_str()).unwrap_or_default().into());
    adapter.set_warning(card.caution.as_ref().is_some_and(|caution| caution.signal == Signal::Warning));
    adapter.set_picture(card.picture.as_ref().and_then(image).unwrap_or_default());
    adapter.set_has_working(card.working.is_some());
    adapter.set_working(card.working.as_ref().map(working).unwrap_or_default());
    adapter.set_working_open(card.working_open);
}

/// None when the pixels are not as many as the size says.
fn image(picture: &Picture) -> Option<Image> {
    let bytes = u64::from(picture.width) * u64::from(picture.height) * 4;
    (picture.rgba.len() as u64 == bytes).then(|| {
        let pixels = SharedPixelBuffer::<Rgba8Pixel>::clone_from_slice(&picture.rgba, picture.width, picture.height);
        Image::from_rgba8_premultiplied(pixels)
    })
}

fn working(working: &Working) -> WorkingText {
    let inputs = working
        .inputs
        .iter()
        .map(|input| WorkingInput { name: input.name.as_str().into(), value: input.value.as_str().into() });
    WorkingText {
        what: working.what.as_str().into(),
        rule: working.rule.as_str().into(),
        inputs: ModelRc::new(VecModel::from_iter(inputs)),
        result: working.result.as_str().into(),
        source: working.source.as_str().into(),
    }
}

//! How the bench looks and speaks, its scanner and its printer.

use slint::ComponentHandle;

use super::{App, SettingsAdapter, Tell, Words, always, picture};
use crate::bench::screen::{Intent, Language, Settings};

/// Sends what is touched here to `tell`.
pub fn connect(app: &App, tell: &Tell) {
    let adapter = app.global::<SettingsAdapter>();
    adapter.on_print_test(always(tell, Intent::PrintTest));
    let ask = tell.clone();
    adapter.on_language(move |spanish| {
        ask(Intent::Language(if spanish { Language::Spanish } else { Language::English }));
    });
    let ask = tell.clone();
    adapter.on_dark(move |dark| ask(Intent::Dark(dark)));
    let ask = tell.clone();
    adapter.on_scanning(move |on| ask(Intent::ScanLabels(on)));
}

/// Shows these settings.
pub fn show(app: &App, settings: &Settings, language: Language, words: Words) {
    let adapter = app.global::<SettingsAdapter>();
    adapter.set_bench(settings.bench.as_str().into());
    adapter.set_endpoint(settings.endpoint.as_str().into());
    adapter.set_version(settings.version.as_str().into());
    adapter.set_printer(words.say(&settings.printer).into());
    adapter.set_spanish(language == Language::Spanish);
    adapter.set_scan_labels(settings.scan_labels);
    adapter.set_scanner(settings.scanner.as_deref().map(|how| words.say(how)).unwrap_or_default().into());
    adapter.set_test_label(picture::image(settings.test_label.as_ref(), adapter.get_test_label()));
}

slint::include_modules!();

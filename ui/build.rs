//! Compiles the screens. Debug info stays in, so that the headless tests can find an element by its accessible label.

fn main() -> Result<(), slint_build::CompileError> {
    let config = slint_build::CompilerConfiguration::new()
        .with_style("fluent-light".into())
        .with_bundled_translations("ui/lang")
        .with_debug_info(true);
    slint_build::compile_with_config("ui/app.slint", config)?;
    println!("cargo:rerun-if-changed=ui/build.rs");
    Ok(())
}

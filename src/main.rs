use slint::ComponentHandle;
fn main() {
    brakeside::App::new().unwrap().run().unwrap();
}

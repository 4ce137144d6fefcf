//! Systems engraved in a second.
fn main() {
    divan::main();
}

//! The process edge.
fn main() {}

//! The compiled module `kirtle._kirtle`. All of it is in the room `python` of the crate, so that extension and tests share one build.

extern crate kirtle as _;

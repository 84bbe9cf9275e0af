//! What people and programs read.

//! What people and programs read.
pub mod json;
pub mod book;
pub mod check;
pub mod explain;
pub mod faults;
pub mod things;

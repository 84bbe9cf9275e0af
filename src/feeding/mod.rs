//! Grams, water, carbon, nitrogen, shares, bedding: numbers only, no rules' text.
//!
//! Comes in: masses, compositions and limits as numbers. Goes out: how much of each scrap may go
//! in ([`shares`]), and what the mix is and needs ([`mix`]).

/// A list that nearly always holds a few: a line of a stream is a bag of its own.
pub type Few<T> = smallvec::SmallVec<[T; 4]>;

pub mod mix;
pub mod shares;

pub use mix::{Bedding, Mixed, Need, Part, Window};
pub use shares::{Cap, Member, Offered, Shares, share_out};

//! The index of misspellings: words by deletion of one letter, then a bounded edit distance.

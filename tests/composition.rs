//! What fats are made of, what a batch comes to, and the two blocks that show it.
//!
//! The predictions are held against the published ranges of the table itself and against `tests/outside`: the two kinds of
//! figure were published apart, so where they agree, neither the table nor the formulas are far wrong.

mod composition {
    mod batches;
    mod blocks;
    mod published;
}

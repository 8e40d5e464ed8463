//! The words of the job as types: book, store, stack, plan.

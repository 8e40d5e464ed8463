//! Plausible large invented books and stores from a seed.

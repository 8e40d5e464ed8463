//! Reads the mechanic's tool store: sets, pieces and spreadsheets to checked model.

//! Sequential ordering with a choice of stacks: least set-up under precedence.

//! Every violation in a fingering, checked from the model alone

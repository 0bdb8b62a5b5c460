//! audit

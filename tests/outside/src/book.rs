//! books

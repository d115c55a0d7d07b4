//! The rules, by theme. Each is one small function; [`crate::RULES`] lists them.

pub(crate) mod chips;
pub(crate) mod habits;
pub(crate) mod harm;
pub(crate) mod idle;
pub(crate) mod joins;
pub(crate) mod legs;
pub(crate) mod limits;
pub(crate) mod polarity;
pub(crate) mod rails;
pub(crate) mod signals;
pub(crate) mod steering;
pub(crate) mod supply;
pub(crate) mod switches;
pub(crate) mod values;

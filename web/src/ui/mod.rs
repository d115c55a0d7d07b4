//! What every part of the page is made with: [`page`] hands the state to components, [`button`] is every plain
//! button, [`dialog`] is what lies over the page, [`focus`] and [`board_focus`] say where the focus goes,
//! [`hooks`] are effects, [`pieces`] are drawn again only when what they show is another, [`spans`] tell
//! `cargo xtask bench` where time goes, [`typed`] is a field of text.

pub mod board_focus;
pub mod button;
pub mod dialog;
pub mod focus;
pub mod hooks;
pub mod page;
pub mod pieces;
pub mod shapes;
pub mod spans;
pub mod typed;

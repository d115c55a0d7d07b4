//! Effects of components. Yew's own are made anew for each place that uses one, a kilobyte each; these
//! are made once.

use yew::prelude::*;

/// Runs once, when the component is on the page.
#[hook]
pub fn use_once(run: Box<dyn FnOnce()>) {
    use_when(0, run);
}

/// Runs after the first drawing, and after each one for which the number is another than before.
#[hook]
pub fn use_when(number: u64, run: Box<dyn FnOnce()>) {
    use_effect_with(number, move |_| run());
}

/// Runs after each drawing.
#[hook]
pub fn use_each(run: Box<dyn FnOnce()>) {
    use_effect(run);
}

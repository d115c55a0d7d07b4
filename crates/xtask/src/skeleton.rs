//! The board as it stands in the page before wasm runs.

/// An empty half board as SVG, for the place marked `<!--board-->` in the page.
///
/// HOOK: becomes `halfrow_draw::skeleton_svg()` once halfrow-draw has it (add the dependency to this
/// crate). Until then the place stays empty.
pub fn board_svg() -> String {
    String::new()
}

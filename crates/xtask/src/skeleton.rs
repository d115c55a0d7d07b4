//! The board as it stands in the page before wasm runs.

/// An empty half board as SVG, for the place marked `<!--board-->` in the page.
pub fn board_svg() -> String {
    halfrow_draw::skeleton_svg()
}

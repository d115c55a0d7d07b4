//! The controls of the clock and of the sound, beside the board.

use halfrow_core::meter::Dial;
use yew::prelude::*;

use crate::model::clock::SPEEDS;
use crate::model::state::{Action, State};
use crate::run::sound::set_sound;
use crate::ui::button::Button;
use crate::ui::page::Handle;
use crate::ui::pieces::Shows;

/// What of the state the controls show.
pub fn shown_in_controls(state: &State) -> Shows {
    let clock = &state.clock;
    let flags = [clock.timed, clock.running, clock.sound, sounds(state)];
    let flags = flags.iter().fold(0, |bits, &on| 2 * bits + u64::from(on));
    [flags, clock.speed.to_bits(), 0, 0, 0]
}

/// Whether anything on the bench can be heard.
fn sounds(state: &State) -> bool {
    let meters = state.bench().meters.iter();
    meters.into_iter().any(|meter| meter.dial == Dial::Continuity)
        || state.bench().parts.iter().any(|part| part.card.sounds)
}

/// The controls of the clock, where the bench has to do with time, and of the sound, where it has to do
/// with that.
pub fn controls(page: &Handle) -> Html {
    let clock = &page.state.clock;
    let sounds = sounds(&page.state);
    let (timed, running, speed) = (clock.timed, clock.running, clock.speed);
    if !timed && !sounds {
        return html! {};
    }
    let onchange = page.on(|event: Event| {
        let index = event.target_unchecked_into::<web_sys::HtmlSelectElement>().selected_index();
        Action::SetSpeed(SPEEDS[index.clamp(0, SPEEDS.len() as i32 - 1) as usize])
    });
    let options = SPEEDS.map(|it| html! { <option selected={it == speed}>{ format!("{it} ×") }</option> });
    let sound = clock.sound;
    let on_sound = page.on(move |_| {
        set_sound(!sound);
        Action::SetSound(!sound)
    });
    html! {
        <div class="clock" role="group" aria-label={if timed { "Clock" } else { "Sound" }}>
            if timed {
                { Button::new(if running { "Pause" } else { "Run" }).does(page, Action::SetRunning(!running)) }
                if !running {
                    { Button::new("Step").title("A hundredth of a second at this speed").does(page, Action::StepClock) }
                }
                <label><span class="away">{ "Speed" }</span><select {onchange}>{ for options }</select></label>
            }
            if sounds { { Button::new("Sound").pressed(sound).view(on_sound) } }
            if timed {
                <span id="clock-time" role="timer" aria-live="off" aria-label="Time since the power came on" />
            }
        </div>
    }
}

//! Long work in portions. Some benches have voltages that are hard to find, and no page may stand still
//! meanwhile: what takes long is a future that lets go after each portion of work. A page polls it as
//! long as a frame allows; everybody else [`finish`]es it. The way and the answer are the same to the bit.

use std::future::Future;
use std::pin::{Pin, pin};
use std::task::{Context, Poll, Waker};

/// Lets go once.
#[derive(Clone, Copy, Debug, Default)]
pub struct LetGo {
    done: bool,
}

impl Future for LetGo {
    type Output = ();

    fn poll(mut self: Pin<&mut Self>, _: &mut Context<'_>) -> Poll<()> {
        if std::mem::replace(&mut self.done, true) { Poll::Ready(()) } else { Poll::Pending }
    }
}

/// One portion of work; the answer when that was the last one.
pub fn portion<T>(work: Pin<&mut (impl Future<Output = T> + ?Sized)>) -> Option<T> {
    match work.poll(&mut Context::from_waker(Waker::noop())) {
        Poll::Ready(answer) => Some(answer),
        Poll::Pending => None,
    }
}

/// All of it.
pub fn finish<T>(work: impl Future<Output = T>) -> T {
    let mut work = pin!(work);
    loop {
        if let Some(answer) = portion(work.as_mut()) {
            return answer;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn work_lets_go_as_often_as_it_says_and_gives_the_same_answer() {
        let work = |times: u32| async move {
            let mut sum = 0;
            for turn in 0..times {
                sum += turn;
                LetGo::default().await;
            }
            sum
        };
        assert_eq!(finish(work(5)), 10);
        let mut work = pin!(work(3));
        assert_eq!([portion(work.as_mut()), portion(work.as_mut()), portion(work.as_mut())], [None; 3]);
        assert_eq!(portion(work.as_mut()), Some(3));
    }
}

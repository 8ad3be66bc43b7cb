//! All that a script can call, and the one file with unsafe code: bytes in, bytes out.
//!
//! The script asks [`alloc`] for room, writes its question there, and calls [`ask`], which gives the answer's
//! first byte; [`answer_length`] says how long it is. It stands until the next question. Then the room of the
//! question goes back through [`free`].

#![allow(unsafe_code)]

use std::cell::RefCell;

use crate::desk::Desk;

thread_local! {
    /// The desk, and the last answer.
    static DESK: RefCell<(Desk, Vec<u8>)> = RefCell::default();
}

/// Room for a question of so many bytes, all of them nothing.
#[cfg_attr(target_family = "wasm", unsafe(no_mangle))]
pub extern "C" fn alloc(length: usize) -> *mut u8 {
    Box::into_raw(vec![0_u8; length].into_boxed_slice()).cast()
}

/// Takes back the room of a question.
///
/// # Safety
/// `start` came from [`alloc`] with the same length, and is taken back once.
#[cfg_attr(target_family = "wasm", unsafe(no_mangle))]
pub unsafe extern "C" fn free(start: *mut u8, length: usize) {
    // SAFETY: it is the box that `alloc` let go of.
    drop(unsafe { Box::from_raw(std::ptr::slice_from_raw_parts_mut(start, length)) });
}

/// Answers the question in so many bytes from `start`, and gives where the answer begins.
///
/// # Safety
/// So many bytes from `start` are room from [`alloc`].
#[cfg_attr(target_family = "wasm", unsafe(no_mangle))]
pub unsafe extern "C" fn ask(start: *const u8, length: usize) -> *const u8 {
    // SAFETY: the room was filled when it was made, and nobody writes there during the call.
    let question = unsafe { std::slice::from_raw_parts(start, length) };
    DESK.with_borrow_mut(|(desk, answer)| {
        *answer = desk.ask(question);
        answer.as_ptr()
    })
}

/// How many bytes the last answer has.
#[cfg_attr(target_family = "wasm", unsafe(no_mangle))]
pub extern "C" fn answer_length() -> usize {
    DESK.with_borrow(|(_, answer)| answer.len())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_question_goes_in_and_its_answer_comes_out() {
        let question = crate::message::pack(["what is this"]);
        let room = alloc(question.len());
        // SAFETY: the room is as long as the question, and given back once.
        let answer = unsafe {
            std::ptr::copy_nonoverlapping(question.as_ptr(), room, question.len());
            let answer = ask(room, question.len());
            free(room, question.len());
            std::slice::from_raw_parts(answer, answer_length())
        };
        assert_eq!(answer, Desk::default().ask(&question));
    }
}

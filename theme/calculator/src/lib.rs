//! Kettlebook's calculator as WebAssembly: the library, and the way by which texts get in and out.
//!
//! A page asks for room for a question, writes it there as UTF-8, and asks; the answer stands where [`kettle_ask`] says, as
//! long as [`kettle_length`] says, until the next question. Questions and answers are those of
//! [`kettlebook::course::OwnPage::ask`]. One page uses one calculator, from one thread.

use std::cell::RefCell;

use kettlebook::course::OwnPage;

thread_local! {
    static PAGE: RefCell<OwnPage> = RefCell::default();
    /// The question, and then its answer.
    static TEXT: RefCell<Vec<u8>> = const { RefCell::new(Vec::new()) };
}

/// Makes room for a question of so many bytes, and says where.
#[allow(unsafe_code, reason = "exported under its own name; no other item has it")]
#[unsafe(no_mangle)]
pub extern "C" fn kettle_room(length: usize) -> *mut u8 {
    TEXT.with_borrow_mut(|text| {
        text.clear();
        text.resize(length, 0);
        text.as_mut_ptr()
    })
}

/// Answers the question, and says where the answer is.
#[allow(unsafe_code, reason = "exported under its own name; no other item has it")]
#[unsafe(no_mangle)]
pub extern "C" fn kettle_ask() -> *const u8 {
    TEXT.with_borrow_mut(|text| {
        let question = String::from_utf8_lossy(text).into_owned();
        *text = PAGE.with_borrow_mut(|page| page.ask(&question)).into_bytes();
        text.as_ptr()
    })
}

/// How many bytes the answer has.
#[allow(unsafe_code, reason = "exported under its own name; no other item has it")]
#[unsafe(no_mangle)]
pub extern "C" fn kettle_length() -> usize {
    TEXT.with_borrow(Vec::len)
}

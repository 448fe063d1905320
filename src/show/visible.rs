//! Characters that a terminal would obey instead of showing them.

/// The text with a picture in place of every character that moves the cursor, changes colours or turns the direction of
/// reading, as a file name, a title or a lesson may hold it. Ends of lines and tabs stay.
///
/// An escape becomes `␛`; what has no picture of its own becomes `\u{fffd}`.
#[must_use]
pub fn visible(text: &str) -> String {
    text.chars().map(visible_char).collect()
}

fn visible_char(it: char) -> char {
    let turns_direction = matches!(it, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    match it {
        '\n' | '\t' => it,
        '\u{7f}' => '\u{2421}',
        it if it < ' ' => char::from_u32(0x2400 + u32::from(it)).unwrap_or(char::REPLACEMENT_CHARACTER),
        it if it.is_control() || turns_direction => char::REPLACEMENT_CHARACTER,
        it => it,
    }
}

#[cfg(test)]
mod tests {
    use super::visible;

    #[test]
    fn no_character_reaches_a_terminal_that_it_would_obey() {
        let hostile: String = ('\0'..='\u{2100}').collect();
        let shown = visible(&hostile);
        assert!(shown.chars().all(|it| !it.is_control() || it == '\n' || it == '\t'));
        assert_eq!(visible("\u{1b}[2J\u{9b}31m a\tb\r\n \u{202e}c\u{7f}"), "␛[2J\u{fffd}31m a\tb␍\n \u{fffd}c␡");
        assert_eq!(visible("½ é – ü 石"), "½ é – ü 石");
    }
}

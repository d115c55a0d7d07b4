//! JSON (RFC 8259), read into a [`Tree`] and quoted for writing.
//!
//! Libraries read it too, and weigh as much on the way to a browser as all the rest of this crate.

use crate::tree::Tree;
use halfrow_core::decimal;

/// How deeply brackets may be nested: far more than a bench has, and far less than the stack holds.
const DEEPEST: u32 = 128;

/// What is said of a number beyond all that a computer reckons with; nothing is wrong with how it is
/// written.
pub(crate) const TOO_LARGE: &str = "the number is too large";

/// Where a text is no JSON, and why.
pub(crate) struct Fault {
    /// The byte at which it shows.
    pub(crate) at: usize,
    pub(crate) says: &'static str,
}

struct Reader<'a> {
    text: &'a str,
    at: usize,
    depth: u32,
}

/// Reads a text that is one JSON value.
pub(crate) fn read(text: &str) -> Result<Tree, Fault> {
    let mut reader = Reader { text, at: 0, depth: 0 };
    let tree = reader.value()?;
    match reader.next_sign() {
        None => Ok(tree),
        Some(_) => Err(reader.fault("something follows the last bracket")),
    }
}

impl Reader<'_> {
    fn fault(&self, says: &'static str) -> Fault {
        Fault { at: self.at, says: if self.at >= self.text.len() { "the text ends too early" } else { says } }
    }

    fn byte(&self) -> Option<u8> {
        self.text.as_bytes().get(self.at).copied()
    }

    /// Passes over white space; what stands then.
    fn next_sign(&mut self) -> Option<u8> {
        while matches!(self.byte(), Some(b' ' | b'\t' | b'\n' | b'\r')) {
            self.at += 1;
        }
        self.byte()
    }

    fn value(&mut self) -> Result<Tree, Fault> {
        match self.next_sign() {
            Some(b'{') => {
                let mut object = Vec::new();
                self.listed(b'}', "a comma or } is missing", |reader| {
                    if reader.byte() != Some(b'"') {
                        return Err(reader.fault("a key stands there without quotes"));
                    }
                    let key = reader.string()?;
                    if reader.next_sign() != Some(b':') {
                        return Err(reader.fault("a colon is missing"));
                    }
                    reader.at += 1;
                    object.push((key, reader.value()?));
                    Ok(())
                })?;
                Ok(Tree::Object(object))
            }
            Some(b'[') => {
                let mut list = Vec::new();
                self.listed(b']', "a comma or ] is missing", |reader| {
                    list.push(reader.value()?);
                    Ok(())
                })?;
                Ok(Tree::List(list))
            }
            Some(b'"') => Ok(Tree::Text(self.string()?)),
            Some(b'-' | b'0'..=b'9') => self.number(),
            _ => {
                for (word, tree) in
                    [("null", Tree::Null), ("true", Tree::Flag(true)), ("false", Tree::Flag(false))]
                {
                    if self.text[self.at..].starts_with(word) {
                        self.at += word.len();
                        return Ok(tree);
                    }
                }
                Err(self.fault("what stands there is neither a number nor in quotes"))
            }
        }
    }

    /// What stands between two brackets, with commas between.
    fn listed(
        &mut self,
        end: u8,
        no_comma: &'static str,
        mut item: impl FnMut(&mut Self) -> Result<(), Fault>,
    ) -> Result<(), Fault> {
        if self.depth == DEEPEST {
            return Err(self.fault("brackets are nested too deeply"));
        }
        self.depth += 1;
        self.at += 1;
        if self.next_sign() != Some(end) {
            loop {
                self.next_sign();
                item(self)?;
                match self.next_sign() {
                    Some(b',') => self.at += 1,
                    Some(sign) if sign == end => break,
                    _ => return Err(self.fault(no_comma)),
                }
                if self.next_sign() == Some(end) {
                    return Err(self.fault("there is a comma too many"));
                }
            }
        }
        self.at += 1;
        self.depth -= 1;
        Ok(())
    }

    fn number(&mut self) -> Result<Tree, Fault> {
        let begin = self.at;
        self.at += usize::from(self.byte() == Some(b'-'));
        let whole = self.at;
        let mut right = self.digits() && (self.at == whole + 1 || self.text.as_bytes()[whole] != b'0');
        if self.byte() == Some(b'.') {
            self.at += 1;
            right &= self.digits();
        }
        if matches!(self.byte(), Some(b'e' | b'E')) {
            self.at += 1;
            self.at += usize::from(matches!(self.byte(), Some(b'+' | b'-')));
            right &= self.digits();
        }
        let number = decimal::read(&self.text[begin..self.at]).filter(|_| right);
        match number {
            Some(number) if number.is_finite() => Ok(Tree::Number(number)),
            Some(_) => Err(Fault { at: begin, says: TOO_LARGE }),
            None => Err(Fault { at: begin, says: "that is no number" }),
        }
    }

    /// Passes over digits; whether there are any.
    fn digits(&mut self) -> bool {
        let begin = self.at;
        while self.byte().is_some_and(|byte| byte.is_ascii_digit()) {
            self.at += 1;
        }
        self.at > begin
    }

    fn string(&mut self) -> Result<String, Fault> {
        let mut text = String::new();
        self.at += 1;
        loop {
            let rest = &self.text[self.at..];
            let plain = rest.find(|c| matches!(c, '"' | '\\' | '\0'..='\u{1f}')).unwrap_or(rest.len());
            text += &rest[..plain];
            self.at += plain;
            match self.byte() {
                Some(b'"') => {
                    self.at += 1;
                    return Ok(text);
                }
                Some(b'\\') => text.push(self.escaped()?),
                _ => return Err(self.fault("a line ends within quotes")),
            }
        }
    }

    /// The character that a backslash and what follows it stand for.
    fn escaped(&mut self) -> Result<char, Fault> {
        self.at += 1;
        let byte = self.byte();
        self.at += 1;
        Ok(match byte {
            Some(sign @ (b'"' | b'\\' | b'/')) => char::from(sign),
            Some(b'b') => '\u{8}',
            Some(b'f') => '\u{c}',
            Some(b'n') => '\n',
            Some(b'r') => '\r',
            Some(b't') => '\t',
            Some(b'u') => {
                let first = self.unit()?;
                let second = if (0xd800..0xdc00).contains(&first) && self.text[self.at..].starts_with("\\u") {
                    self.at += 2;
                    Some(self.unit()?)
                } else {
                    None
                };
                let mut read = char::decode_utf16([first].into_iter().chain(second));
                let character = read.next().and_then(Result::ok).filter(|_| read.next().is_none());
                return character.ok_or_else(|| self.fault("\\u names half a character"));
            }
            _ => {
                self.at -= 1;
                return Err(self.fault("a backslash stands before what it can’t stand before"));
            }
        })
    }

    /// The four digits after `\u`.
    fn unit(&mut self) -> Result<u16, Fault> {
        let digits = self.text.get(self.at..self.at + 4);
        let digits = digits.filter(|digits| digits.bytes().all(|byte| byte.is_ascii_hexdigit()));
        let unit = digits.and_then(|digits| u16::from_str_radix(digits, 16).ok());
        let unit = unit.ok_or_else(|| self.fault("four digits are missing after \\u"))?;
        self.at += 4;
        Ok(unit)
    }
}

/// A text in quotes.
pub(crate) fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' | '\\' => out.extend(['\\', c]),
            '\n' => out += "\\n",
            '\r' => out += "\\r",
            '\t' => out += "\\t",
            '\0'..='\u{1f}' => out += &format!("\\u{:04x}", u32::from(c)),
            _ => out.push(c),
        }
    }
    out.push('"');
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn as_value(tree: &Tree) -> serde_json::Value {
        match tree {
            Tree::Null => serde_json::Value::Null,
            Tree::Flag(on) => (*on).into(),
            Tree::Number(x) => (*x).into(),
            Tree::Text(text) => text.clone().into(),
            Tree::List(list) => list.iter().map(as_value).collect(),
            Tree::Object(pairs) => pairs.iter().map(|(key, tree)| (key.clone(), as_value(tree))).collect(),
        }
    }

    /// Numbers compare by their worth: one reader has kinds of them, the other has not.
    fn same(a: &serde_json::Value, b: &serde_json::Value) -> bool {
        use serde_json::Value::{Array, Number, Object};
        match (a, b) {
            (Number(a), Number(b)) => a.as_f64() == b.as_f64(),
            (Array(a), Array(b)) => a.len() == b.len() && a.iter().zip(b).all(|(a, b)| same(a, b)),
            (Object(a), Object(b)) => {
                a.len() == b.len() && a.iter().all(|(key, a)| b.get(key).is_some_and(|b| same(a, b)))
            }
            _ => a == b,
        }
    }

    /// Texts of every shape, right and wrong.
    const SHAPES: [&str; 57] = [
        "null",
        "true",
        " false ",
        "0",
        "-0",
        "1.5e-3",
        "1E400",
        "-1e-400",
        "01",
        "1.",
        ".5",
        "-",
        "+1",
        "1e",
        "1e+",
        "12345678901234567890",
        "0.1",
        "2.2250738585072011e-308",
        "\"\"",
        "\"a\\n\\u00e9\\ud83d\\ude00\\/\"",
        "\"\\ud83d\"",
        "\"\\ud83dx\"",
        "\"\\udc00\"",
        "\"\\u12g4\"",
        "\"\\u+123\"",
        "\"\\x\"",
        "\"",
        "\"\\",
        "\"\\u",
        "\"tab\t\"",
        "[]",
        "[1,]",
        "[,]",
        "[1 2]",
        "[1,2",
        "[[[]]]",
        "{}",
        "{\"a\":1,\"b\":[{}]}",
        "{\"a\":1,}",
        "{\"a\"}",
        "{\"a\" 1}",
        "{a:1}",
        "{\"a\":}",
        "{\"a\":1 \"b\":2}",
        "nul",
        "nulll",
        "[] []",
        "",
        " ",
        "[\u{a0}]",
        "\"é\u{7f}\u{2028}\"",
        "{\"é\":\"\\u0000\"}",
        "[1\r\n,\t2]",
        "}",
        "]",
        "[}",
        "{]",
    ];

    #[test]
    fn reads_and_refuses_what_another_reader_does() {
        let mut texts: Vec<String> = SHAPES.map(str::to_owned).to_vec();
        // Texts with a letter changed, taken out or cut off.
        let whole = r#"{"halfrow":1,"title":"A \"b\" \\ é","list":[-1.25e+3,null,true,{"x":[]}],"n":0.5}"#;
        for (at, _) in whole.char_indices() {
            texts.push(whole[..at].to_owned());
            for put in ["", "\"", "\\", ",", ":", "[", "}", "0", "e", " ", "\u{1}"] {
                let rest = whole[at..].chars().skip(1).collect::<String>();
                texts.push(format!("{}{put}{rest}", &whole[..at]));
            }
        }
        for text in &texts {
            let theirs = serde_json::from_str::<serde_json::Value>(text);
            match (read(text), theirs) {
                (Ok(ours), Ok(theirs)) => assert!(same(&as_value(&ours), &theirs), "{text}: {ours:?}"),
                (Err(fault), Err(_)) => {
                    assert!(fault.at <= text.len() && text.is_char_boundary(fault.at), "{text}")
                }
                (Ok(ours), Err(why)) => panic!("{text} is read as {ours:?}, and is no JSON: {why}"),
                (Err(fault), Ok(_)) => panic!("{text} is refused at {}: {}", fault.at, fault.says),
            }
        }
    }

    #[test]
    fn what_is_quoted_reads_back() {
        for text in ["", "plain", "\"quotes\" and \\", "line\nbreak\ttab\r\u{0}\u{1f}\u{7f}", "é 😀 \u{2028}"]
        {
            assert_eq!(quoted(text), serde_json::Value::from(text).to_string());
            assert!(matches!(read(&quoted(text)), Ok(Tree::Text(back)) if back == text), "{text}");
        }
    }
}

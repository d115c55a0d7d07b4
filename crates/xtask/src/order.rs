//! The functions of the wasm in an order in which they pack well, and short names between it and its
//! loader.
//!
//! Functions that begin alike are often alike to their ends (one pattern, instantiated for many
//! types). Side by side, what one repeats of the other is named in fewer bits. Nothing but their
//! places changes. What the loader gives to the module is named after what it does, with a hash: names
//! of a letter or two do as well.

use crate::failure::{Failure, Outcome};
use std::collections::{BTreeMap, BTreeSet};
use std::convert::Infallible;
use wasm_encoder::reencode::{Error, Reencode};
use wasm_encoder::{CodeSection, FunctionSection, ImportSection, Module};
use wasmparser::{CodeSectionReader, FunctionSectionReader, ImportSectionReader, Parser, Payload, TypeRef};

/// The module with its functions sorted by their bytes, and its loader, with short names for what the
/// one takes from the other.
///
/// # Errors
/// [`Failure::Check`] when the module can't be read.
pub fn packed(wasm: &[u8], loader: &str) -> Outcome<(Vec<u8>, String)> {
    let failed = |error: &dyn std::fmt::Display| Failure::Check(format!("the module's imports: {error}"));
    let names = short_names(wasm, loader).map_err(|error| failed(&error))?;
    let mut text = String::with_capacity(loader.len());
    let mut rest = loader;
    while !rest.is_empty() {
        let is_name = |c: char| c.is_ascii_alphanumeric() || c == '_' || c == '$';
        let end = rest.find(|c| !is_name(c)).unwrap_or(rest.len());
        let (word, after) = rest.split_at(end);
        text.push_str(names.get(word).map_or(word, String::as_str));
        let next = after.find(is_name).unwrap_or(after.len());
        text.push_str(&after[..next]);
        rest = &after[next..];
    }
    // A module's name is a path in quotes.
    for (name, short) in names.iter().filter(|(name, _)| name.contains('/')) {
        text = text.replace(&format!("\"{name}\""), &format!("\"{short}\""));
    }
    Ok((sorted(wasm, &names)?, text))
}

/// A short name, which the loader has nowhere as a word, for each module and thing that is imported.
fn short_names(wasm: &[u8], loader: &str) -> wasmparser::Result<BTreeMap<String, String>> {
    let words: BTreeSet<&str> =
        loader.split(|c: char| !c.is_ascii_alphanumeric() && c != '_' && c != '$').collect();
    let mut free = (0_u32..)
        .map(|number| {
            let letter = |at: u32| char::from(b'a' + (at % 26) as u8);
            if number < 26 {
                letter(number).to_string()
            } else {
                [letter(number / 26 - 1), letter(number)].iter().collect()
            }
        })
        .filter(|name| !words.contains(name.as_str()));
    let mut names = BTreeMap::new();
    for payload in Parser::new(0).parse_all(wasm) {
        let Payload::ImportSection(section) = payload? else { continue };
        for import in section.into_imports() {
            let import = import?;
            for name in [import.module, import.name] {
                if name.len() > 2 && !names.contains_key(name) {
                    names.insert(name.to_owned(), free.next().expect("numbers don't end"));
                }
            }
        }
    }
    Ok(names)
}

fn sorted(wasm: &[u8], names: &BTreeMap<String, String>) -> Outcome<Vec<u8>> {
    let failed = |error: &dyn std::fmt::Display| Failure::Check(format!("sorting the functions: {error}"));
    let (imported, bodies) = functions(wasm).map_err(|error| failed(&error))?;
    let mut order: Vec<usize> = (0..bodies.len()).collect();
    // The sort is stable: functions of the same bytes keep their order, so that builds are alike.
    let types = types(wasm).map_err(|error| failed(&error))?;
    order.sort_by_key(|&at| (types[at], bodies[at]));
    let mut place = vec![0; order.len()];
    for (new, &old) in order.iter().enumerate() {
        place[old] = new as u32;
    }
    let mut module = Module::new();
    Sorter { imported, order, place, names }
        .parse_core_module(&mut module, Parser::new(0), wasm)
        .map_err(|error| failed(&error))?;
    Ok(module.finish())
}

/// How many functions are imported, and the bytes of each of the others.
fn functions(wasm: &[u8]) -> wasmparser::Result<(u32, Vec<&[u8]>)> {
    let mut imported = 0;
    let mut bodies = Vec::new();
    for payload in Parser::new(0).parse_all(wasm) {
        match payload? {
            Payload::ImportSection(section) => {
                for import in section.into_imports() {
                    imported += u32::from(matches!(import?.ty, TypeRef::Func(_)));
                }
            }
            Payload::CodeSectionEntry(body) => bodies.push(body.as_bytes()),
            _ => {}
        }
    }
    Ok((imported, bodies))
}

/// The type of each function that is not imported.
fn types(wasm: &[u8]) -> wasmparser::Result<Vec<u32>> {
    for payload in Parser::new(0).parse_all(wasm) {
        if let Payload::FunctionSection(section) = payload? {
            return section.into_iter().collect();
        }
    }
    Ok(Vec::new())
}

struct Sorter<'a> {
    imported: u32,
    /// The old place of each function, by its new one.
    order: Vec<usize>,
    /// The new place of each function, by its old one.
    place: Vec<u32>,
    /// Short names of modules and of what they give.
    names: &'a BTreeMap<String, String>,
}

impl Reencode for Sorter<'_> {
    type Error = Infallible;

    fn function_index(&mut self, function: u32) -> Result<u32, Error<Infallible>> {
        Ok(function
            .checked_sub(self.imported)
            .map_or(function, |own| self.imported + self.place[own as usize]))
    }

    fn parse_import_section(
        &mut self,
        imports: &mut ImportSection,
        section: ImportSectionReader<'_>,
    ) -> Result<(), Error<Infallible>> {
        for import in section.into_imports() {
            let import = import?;
            let short = |name: &str| self.names.get(name).cloned().unwrap_or_else(|| name.to_owned());
            let (module, name) = (short(import.module), short(import.name));
            imports.import(&module, &name, self.entity_type(import.ty)?);
        }
        Ok(())
    }

    fn parse_function_section(
        &mut self,
        functions: &mut FunctionSection,
        section: FunctionSectionReader<'_>,
    ) -> Result<(), Error<Infallible>> {
        let types = section.into_iter().collect::<wasmparser::Result<Vec<u32>>>()?;
        for &old in &self.order {
            functions.function(types[old]);
        }
        Ok(())
    }

    fn parse_code_section(
        &mut self,
        code: &mut CodeSection,
        section: CodeSectionReader<'_>,
    ) -> Result<(), Error<Infallible>> {
        let bodies = section.into_iter().collect::<wasmparser::Result<Vec<_>>>()?;
        for place in 0..self.order.len() {
            self.parse_function_body(code, bodies[self.order[place]].clone())?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use wasm_encoder::{EntityType, ExportKind, ExportSection, Function, TypeSection, ValType};

    /// An import and the functions that give these numbers, the last by calling the one before it,
    /// each exported under its place.
    fn giving(numbers: &[i32]) -> Vec<u8> {
        let (mut types, mut imports) = (TypeSection::new(), ImportSection::new());
        let (mut functions, mut exports, mut code) =
            (FunctionSection::new(), ExportSection::new(), CodeSection::new());
        types.ty().function([], [ValType::I32]);
        imports.import("page", "call", EntityType::Function(0));
        for (place, &number) in numbers.iter().enumerate() {
            functions.function(0);
            exports.export(&place.to_string(), ExportKind::Func, place as u32 + 1);
            let mut body = Function::new([]);
            if place + 1 == numbers.len() {
                body.instructions().call(place as u32).end();
            } else {
                body.instructions().i32_const(number).end();
            }
            code.function(&body);
        }
        let mut module = Module::new();
        module.section(&types).section(&imports).section(&functions).section(&exports).section(&code);
        module.finish()
    }

    /// Place of each export's function among the functions, and the functions' bytes.
    fn seen(wasm: &[u8]) -> (Vec<usize>, Vec<Vec<u8>>) {
        let mut places = Vec::new();
        for payload in Parser::new(0).parse_all(wasm) {
            if let Payload::ExportSection(section) = payload.unwrap() {
                places.extend(section.into_iter().map(|export| export.unwrap().index as usize - 1));
            }
        }
        (places, functions(wasm).unwrap().1.into_iter().map(<[u8]>::to_vec).collect())
    }

    #[test]
    fn functions_move_and_whoever_names_them_follows() {
        let (before, after) =
            (giving(&[3, 1, 2, 0]), sorted(&giving(&[3, 1, 2, 0]), &BTreeMap::new()).unwrap());
        let ((_, old), (places, new)) = (seen(&before), seen(&after));
        assert_ne!(old, new, "something moved");
        for export in 0..3 {
            assert_eq!(new[places[export]], old[export], "export {export}");
        }
        // `call`, then the function by its number behind the one import.
        assert_eq!(new[places[3]][1..3], [0x10, places[2] as u8 + 1]);
        assert_eq!(sorted(&after, &BTreeMap::new()).unwrap().len(), before.len());
    }

    #[test]
    fn loader_and_module_agree_on_short_names() {
        let loader = "const a = { call: function() {}, call_2: 1 }; return { \"page\": a };";
        let (wasm, text) = packed(&giving(&[1, 2]), loader).unwrap();
        assert_eq!(text, "const a = { c: function() {}, call_2: 1 }; return { \"b\": a };");
        let names = Parser::new(0).parse_all(&wasm).find_map(|payload| match payload.unwrap() {
            Payload::ImportSection(section) => {
                let import = section.into_imports().next().unwrap().unwrap();
                Some((import.module.to_owned(), import.name.to_owned()))
            }
            _ => None,
        });
        assert_eq!(names, Some(("b".to_owned(), "c".to_owned())));
    }

    #[test]
    fn what_is_no_module_is_told() {
        assert!(packed(b"no module", "").is_err());
    }
}

//! The functions of the wasm in an order in which they pack well.
//!
//! Functions that begin alike are often alike to their ends (one pattern, instantiated for many
//! types). Side by side, what one repeats of the other is named in fewer bits. Nothing but their
//! places changes.

use crate::failure::{Failure, Outcome};
use std::convert::Infallible;
use wasm_encoder::reencode::{Error, Reencode};
use wasm_encoder::{CodeSection, FunctionSection, Module};
use wasmparser::{CodeSectionReader, FunctionSectionReader, Parser, Payload, TypeRef};

/// The module with its functions sorted by their bytes.
///
/// # Errors
/// [`Failure::Check`] when the module can't be read.
pub fn sorted(wasm: &[u8]) -> Outcome<Vec<u8>> {
    let failed = |error: &dyn std::fmt::Display| Failure::Check(format!("sorting the functions: {error}"));
    let (imported, bodies) = functions(wasm).map_err(|error| failed(&error))?;
    let mut order: Vec<usize> = (0..bodies.len()).collect();
    // The sort is stable: functions of the same bytes keep their order, so that builds are alike.
    order.sort_by_key(|&at| bodies[at]);
    let mut place = vec![0; order.len()];
    for (new, &old) in order.iter().enumerate() {
        place[old] = new as u32;
    }
    let mut module = Module::new();
    Sorter { imported, order, place }
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

struct Sorter {
    imported: u32,
    /// The old place of each function, by its new one.
    order: Vec<usize>,
    /// The new place of each function, by its old one.
    place: Vec<u32>,
}

impl Reencode for Sorter {
    type Error = Infallible;

    fn function_index(&mut self, function: u32) -> Result<u32, Error<Infallible>> {
        Ok(function
            .checked_sub(self.imported)
            .map_or(function, |own| self.imported + self.place[own as usize]))
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
    use wasm_encoder::{
        EntityType, ExportKind, ExportSection, Function, ImportSection, TypeSection, ValType,
    };

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
        let (before, after) = (giving(&[3, 1, 2, 0]), sorted(&giving(&[3, 1, 2, 0])).unwrap());
        let ((_, old), (places, new)) = (seen(&before), seen(&after));
        assert_ne!(old, new, "something moved");
        for export in 0..3 {
            assert_eq!(new[places[export]], old[export], "export {export}");
        }
        // `call`, then the function by its number behind the one import.
        assert_eq!(new[places[3]][1..3], [0x10, places[2] as u8 + 1]);
        assert_eq!(sorted(&after).unwrap().len(), before.len());
    }

    #[test]
    fn what_is_no_module_is_told() {
        assert!(sorted(b"no module").is_err());
    }
}

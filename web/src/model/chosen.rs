//! A few parts by their places, as a sorted list: what a tree would weigh more for on the page.

/// Places of parts, each once, in rising order.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Chosen(Vec<usize>);

impl Chosen {
    /// Nothing.
    pub const fn new() -> Chosen {
        Chosen(Vec::new())
    }

    /// One part.
    pub fn one(part: usize) -> Chosen {
        Chosen(vec![part])
    }

    /// Adds a part; says whether it is new.
    pub fn insert(&mut self, part: usize) -> bool {
        match self.0.binary_search(&part) {
            Ok(_) => false,
            Err(place) => {
                self.0.insert(place, part);
                true
            }
        }
    }

    /// Takes a part out; says whether it was there.
    pub fn remove(&mut self, part: &usize) -> bool {
        let found = self.0.binary_search(part);
        if let Ok(place) = found {
            self.0.remove(place);
        }
        found.is_ok()
    }

    /// Whether a part is there.
    pub fn contains(&self, part: &usize) -> bool {
        self.0.binary_search(part).is_ok()
    }

    /// How many there are.
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// The first.
    pub fn first(&self) -> Option<&usize> {
        self.0.first()
    }

    /// Takes all out.
    pub fn clear(&mut self) {
        self.0.clear();
    }

    /// Keeps those that fit.
    pub fn retain(&mut self, fits: impl FnMut(&usize) -> bool) {
        self.0.retain(fits);
    }

    /// All of them, first to last.
    pub fn iter(&self) -> std::slice::Iter<'_, usize> {
        self.0.iter()
    }
}

impl FromIterator<usize> for Chosen {
    fn from_iter<I: IntoIterator<Item = usize>>(parts: I) -> Chosen {
        let mut chosen = Chosen::new();
        for part in parts {
            chosen.insert(part);
        }
        chosen
    }
}

impl<'a> IntoIterator for &'a Chosen {
    type Item = &'a usize;
    type IntoIter = std::slice::Iter<'a, usize>;

    fn into_iter(self) -> Self::IntoIter {
        self.iter()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_part_is_there_once_and_in_order() {
        let mut chosen: Chosen = [3, 1, 3, 2].into_iter().collect();
        assert_eq!(chosen.iter().copied().collect::<Vec<_>>(), [1, 2, 3]);
        assert!(!chosen.insert(2) && chosen.remove(&2) && !chosen.remove(&2) && !chosen.contains(&2));
        assert_eq!((chosen.len(), chosen.first()), (2, Some(&1)));
    }
}

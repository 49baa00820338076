//! Nest: chosen sizes of a range as patterns that are cut alike, to be drawn on each other.
//!
//! The sizes of a nest ascend, and all have the same cutting instructions.

use std::collections::BTreeSet;

use super::SizeRange;
use crate::error::Problems;
use crate::pattern::{Cutting, Pattern};
use crate::text::compose_letters;

/// Nest: patterns of one or more sizes of a range, with one ease, one set of rules and one cutting.
#[derive(Clone, Debug, PartialEq)]
pub struct Nest {
    sizes: Vec<(String, Pattern)>,
}

impl Nest {
    /// Returns the cutting instructions of every size; their `name` is the name of the nest, or empty.
    pub fn cutting(&self) -> &Cutting {
        self.sizes[0].1.cutting()
    }

    /// Returns name and pattern of each size, from the smallest size to the largest.
    pub fn sizes(&self) -> &[(String, Pattern)] {
        &self.sizes
    }
}

impl SizeRange {
    /// Returns the nest of chosen sizes, cut by `cutting`. Each choice is the name of a size, or the names of two sizes
    /// joined by a hyphen, such as `36-44`, for both and all sizes in between; an empty list stands for all sizes.
    ///
    /// # Errors
    /// [`Code::UnknownSize`](crate::Code::UnknownSize) for each choice that names no size; all [`Problems`] of the
    /// cutting instructions.
    ///
    /// ```
    /// use kirtle::{Cutting, Ease, Preset, Rules, SizeChart, Unit};
    ///
    /// let range = SizeChart::demo().draft(&Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
    /// let nest = range.nest(&["36-40", "46"], &Cutting::preset(Preset::None, Unit::Cm))?;
    /// let names: Vec<&str> = nest.sizes().iter().map(|(name, _)| name.as_str()).collect();
    /// assert_eq!(names, ["36", "38", "40", "46"]);
    ///
    /// let problems = range.nest(&["36-41"], &Cutting::default()).unwrap_err();
    /// assert!(problems.to_string().starts_with("sizes: there is no size \"36-41\"; the sizes are 32, 34, 36, 38"));
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn nest(&self, choices: &[&str], cutting: &Cutting) -> Result<Nest, Problems> {
        let (mut chosen, mut problems) = (BTreeSet::new(), Vec::new());
        for choice in choices {
            match self.size_index_pair_of_choice(choice) {
                Some([first, last]) => chosen.extend(first.min(last)..=first.max(last)),
                None => problems.push(self.chart().unknown_size_problem("sizes", choice)),
            }
        }
        Problems::ok_if_empty(problems)?;
        let sizes = self.sizes_with_drafts().enumerate();
        let sizes = sizes.filter(|(k, _)| choices.is_empty() || chosen.contains(k));
        let sizes = sizes.map(|(_, (size, draft))| Ok((size.name.clone(), draft.pattern(cutting)?)));
        Ok(Nest { sizes: sizes.collect::<Result<_, Problems>>()? })
    }

    /// Returns the indices of the two sizes that a choice names, in the order named: twice the same index for one name;
    /// `None` if the choice names no size.
    fn size_index_pair_of_choice(&self, choice: &str) -> Option<[usize; 2]> {
        let choice = &*compose_letters(choice);
        let index = |name: &str| self.chart().sizes().iter().position(|size| size.name == name.trim());
        // A hyphen may be part of a name.
        let pair = |at: usize| Some([index(&choice[..at])?, index(&choice[at + 1..])?]);
        index(choice).map(|k| [k, k]).or_else(|| choice.match_indices('-').find_map(|(at, _)| pair(at)))
    }
}

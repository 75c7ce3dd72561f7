//! Where a yard's words are in its script.

use crate::recipe::Mark;

/// One offer: its grade, its position, and the positions of its terms.
#[derive(Debug, Clone, Default)]
struct OfferPlace {
    grade: String,
    mark: Mark,
    tiers: Vec<Mark>,
    minimum: Option<Mark>,
    is_dated: bool,
    is_charge: bool,
}

/// Where a yard's words are.
#[derive(Debug, Clone, Default)]
pub struct YardPlaces {
    /// Where the yard is declared.
    pub declared: Mark,
    /// Where its rule for mixed lots is.
    pub mixed: Mark,
    dates: Vec<Mark>,
    offers: Vec<OfferPlace>,
}

impl YardPlaces {
    /// Records an offer; a yard's offers are numbered in the order of recording.
    pub fn offer(&mut self, grade: &str, mark: Mark, is_charge: bool) {
        let is_dated = !self.dates.is_empty();
        self.offers.push(OfferPlace { grade: grade.to_owned(), mark, is_dated, is_charge, ..OfferPlace::default() });
    }

    /// Records a tier of the offer with this number.
    pub fn tier(&mut self, offer: usize, mark: Mark) {
        if let Some(offer) = self.offers.get_mut(offer) {
            offer.tiers.push(mark);
        }
    }

    /// Records the minimum lot of the offer with this number.
    pub fn minimum(&mut self, offer: usize, mark: Mark) {
        if let Some(offer) = self.offers.get_mut(offer) {
            offer.minimum = Some(mark);
        }
    }

    /// Records a date.
    pub fn date(&mut self, mark: Mark) {
        self.dates.push(mark);
    }

    /// Where dates are, in order.
    pub fn dates(&self) -> &[Mark] {
        &self.dates
    }

    /// The offers before the first date.
    pub fn undated(&self) -> Vec<(&str, Mark)> {
        self.offers.iter().filter(|offer| !offer.is_dated).map(|offer| (offer.grade.as_str(), offer.mark)).collect()
    }

    fn find(&self, grade: &str) -> Option<&OfferPlace> {
        self.offers.iter().find(|offer| offer.grade == grade)
    }

    /// Whether the grade was declared as one the yard charges for.
    pub fn is_charge(&self, grade: &str) -> bool {
        self.find(grade).is_some_and(|offer| offer.is_charge)
    }

    /// Where the price of a grade is.
    pub fn of(&self, grade: &str) -> Mark {
        self.find(grade).map_or(self.declared, |offer| offer.mark)
    }

    /// Where a tier of a grade is, by its number.
    pub fn tier_of(&self, grade: &str, number: usize) -> Mark {
        self.find(grade).and_then(|offer| offer.tiers.get(number)).copied().unwrap_or(self.of(grade))
    }

    /// Where the minimum lot of a grade is.
    pub fn minimum_of(&self, grade: &str) -> Mark {
        self.find(grade).and_then(|offer| offer.minimum).unwrap_or(self.of(grade))
    }
}

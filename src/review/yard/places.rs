//! Where the words of a yard stand in its script.

use crate::recipe::Mark;

/// One offer: its grade, where it stands, and where its terms stand.
#[derive(Debug, Clone, Default)]
struct OfferPlace {
    grade: String,
    mark: Mark,
    tiers: Vec<Mark>,
    minimum: Option<Mark>,
    is_dated: bool,
    is_charge: bool,
}

/// Where the words of a yard stand.
#[derive(Debug, Clone, Default)]
pub struct YardPlaces {
    /// Where the yard is declared.
    pub declared: Mark,
    /// Where its rule for mixed lots stands.
    pub mixed: Mark,
    dates: Vec<Mark>,
    offers: Vec<OfferPlace>,
}

impl YardPlaces {
    /// Notes an offer; those of a yard are numbered in the order in which they are noted.
    pub fn offer(&mut self, grade: &str, mark: Mark, is_charge: bool) {
        let is_dated = !self.dates.is_empty();
        self.offers.push(OfferPlace { grade: grade.to_owned(), mark, is_dated, is_charge, ..OfferPlace::default() });
    }

    /// Notes a tier of the offer with this number.
    pub fn tier(&mut self, offer: usize, mark: Mark) {
        if let Some(offer) = self.offers.get_mut(offer) {
            offer.tiers.push(mark);
        }
    }

    /// Notes the smallest lot of the offer with this number.
    pub fn minimum(&mut self, offer: usize, mark: Mark) {
        if let Some(offer) = self.offers.get_mut(offer) {
            offer.minimum = Some(mark);
        }
    }

    /// Notes a date.
    pub fn date(&mut self, mark: Mark) {
        self.dates.push(mark);
    }

    /// Where dates stand, in order.
    pub fn dates(&self) -> &[Mark] {
        &self.dates
    }

    /// The offers that stand before the first date.
    pub fn undated(&self) -> Vec<(&str, Mark)> {
        self.offers.iter().filter(|offer| !offer.is_dated).map(|offer| (offer.grade.as_str(), offer.mark)).collect()
    }

    fn find(&self, grade: &str) -> Option<&OfferPlace> {
        self.offers.iter().find(|offer| offer.grade == grade)
    }

    /// Whether the grade was declared as one for which the yard takes money.
    pub fn is_charge(&self, grade: &str) -> bool {
        self.find(grade).is_some_and(|offer| offer.is_charge)
    }

    /// Where the price of a grade stands.
    pub fn of(&self, grade: &str) -> Mark {
        self.find(grade).map_or(self.declared, |offer| offer.mark)
    }

    /// Where a tier of a grade stands, by its number.
    pub fn tier_of(&self, grade: &str, number: usize) -> Mark {
        self.find(grade).and_then(|offer| offer.tiers.get(number)).copied().unwrap_or(self.of(grade))
    }

    /// Where the smallest lot of a grade stands.
    pub fn minimum_of(&self, grade: &str) -> Mark {
        self.find(grade).and_then(|offer| offer.minimum).unwrap_or(self.of(grade))
    }
}

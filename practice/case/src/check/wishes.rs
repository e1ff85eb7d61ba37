//! Wish and laboratory.

use super::Look;
use super::arch::repeated;

impl Look<'_> {
    pub(super) fn wish(&mut self) {
        let wish = self.case.wish.clone();
        for matter in repeated(&wish.order) {
            self.error("wish.order", format!("\"{}\" stands twice", matter.word()), "each once", "take one out");
        }
        let ways = [
            ("wish.order", !wish.order.is_empty()),
            ("wish.weights", wish.weights.is_some()),
            ("wish.trades", wish.trades.is_some()),
        ];
        let given: Vec<_> = ways.iter().filter(|(_, given)| *given).map(|(path, _)| *path).collect();
        if let [_, second, ..] = given[..] {
            self.error(
                second,
                "what matters is given in several ways",
                "one way",
                "keep the order, the weights or the trade-offs",
            );
        }
        if let Some(w) = wish.weights
            && w.harm + w.looks + w.tissue + w.money <= 0.0
        {
            self.error("wish.weights", "all weights are 0", "at least one above 0", "write what counts most as 100");
        }
        self.wished_colour();
    }

    fn wished_colour(&mut self) {
        let wish = self.case.wish.clone();
        let ways = [
            ("wish.colour", wish.colour.is_some()),
            ("wish.colour_tab", wish.colour_tab.is_some()),
            ("wish.colour_as_neighbour", wish.colour_as_neighbour.is_some()),
        ];
        let given: Vec<_> = ways.iter().filter(|(_, given)| *given).map(|(path, _)| *path).collect();
        if let [_, second, ..] = given[..] {
            self.error(
                second,
                "the wished colour is given in several ways",
                "one way",
                "keep the reading, the tab or the neighbour",
            );
        }
        let against = wish.colour_as_neighbour.unwrap_or_default();
        for word in repeated(&against) {
            self.warning(
                "wish.colour_as_neighbour",
                format!("\"{}\" stands twice", word.word()),
                "each once",
                "take one out",
            );
        }
        if let Some(word) =
            against.iter().enumerate().find_map(|(i, w)| against[..i].contains(&w.contrary()).then_some(w))
        {
            let found = format!("\"{}\" and \"{}\" at once", word.contrary().word(), word.word());
            self.error("wish.colour_as_neighbour", found, "one of the two", "take one out");
        }
    }

    pub(super) fn laboratory(&mut self) {
        let laboratory = self.case.laboratory.clone();
        for (i, tab) in laboratory.tabs.iter().enumerate() {
            if laboratory.tabs[..i].iter().any(|t| t.name == tab.name) {
                let path = format!("laboratory.tab[{}].name", i + 1);
                self.error(&path, "two tabs of one name", "a name for each tab", "rename one");
            }
        }
        for (i, makes) in laboratory.makes.iter().enumerate() {
            let same = |m: &&crate::parts::Makes| {
                (m.material, m.build, m.construct) == (makes.material, makes.build, makes.construct)
            };
            if laboratory.makes[..i].iter().any(|m| same(&m)) {
                let path = format!("laboratory.makes[{}]", i + 1);
                self.error(
                    &path,
                    format!("{}, {} is listed twice", makes.material, makes.build),
                    "each once",
                    "keep one of the two",
                );
            }
        }
        let priced = laboratory.chair_hour.is_some() || laboratory.makes.iter().any(|m| m.fee.is_some());
        if priced && laboratory.currency.is_none() {
            self.warning(
                "laboratory",
                "money without a currency",
                "the currency",
                "write for example currency = \"EUR\"",
            );
        }
    }
}

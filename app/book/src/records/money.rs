//! What the barn spends.

use super::{Over, record};
use crate::ids::CostId;
use trade::money::Money;
use trade::when::When;

record! {
    /// Money spent. Its kind is the keeper's own word.
    Cost CostId {
        when: Option<When> = "when",
        /// Feed, medium, veterinarian…
        what: Option<String> = "what" => "kind of cost",
        amount: Option<Money> = "amount",
        note: Option<String> = "note" long,
    }
    over Over::Noted;
    also {
        fn at(&self) -> Option<When> {
            self.when
        }

        fn called(&self, _book: &crate::Book) -> Option<String> {
            self.what.clone()
        }
    }
}

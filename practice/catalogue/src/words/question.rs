//! The six questions every option is asked.

use super::words;

words! {
    /// One of the six questions.
    Question {
        /// Losses and complications over the years.
        Last = "last", "Will it last?";
        /// Stress against strength.
        Break = "break", "Will it break?";
        /// Colour over what lies beneath.
        Show = "show", "Will it show?";
        /// Preparation.
        Lose = "lose", "What does the tooth lose?";
        /// Retention by form and by adhesion.
        Hold = "hold", "Will it hold?";
        /// Money and chair time.
        Cost = "cost", "What will it cost?";
    }
}

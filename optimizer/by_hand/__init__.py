"""Plans as a careful person makes them: line by line, then put right where that is easy. Fast, valid, not proven."""

from optimizer.by_hand.choices import Choices, CircuitChoice
from optimizer.by_hand.improve import Improver, improved
from optimizer.by_hand.line_by_line import Answer, by_hand, by_hand_from_one_seller

__all__ = ["Answer", "Choices", "CircuitChoice", "Improver", "by_hand", "by_hand_from_one_seller", "improved"]

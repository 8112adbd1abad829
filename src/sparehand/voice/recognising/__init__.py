"""From an utterance to a phrase, or the reason why not."""

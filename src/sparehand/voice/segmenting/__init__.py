"""The stream of sound cut into utterances."""

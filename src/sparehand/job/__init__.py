"""One job: commands, decisions, events, state and answers. Pure: time and ids come in as arguments."""

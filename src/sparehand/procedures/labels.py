"""Short names for people: things with their count, bolts with their size."""

from __future__ import annotations

from sparehand.ground.plurals import how_many
from sparehand.procedures.model import Fastener, Item
from sparehand.procedures.wording import counted as counted_words


def plural_of(thing: Fastener | Item) -> str:
    """The name for several of a thing: as the file gives it, else its name with an s."""
    return thing.plural or f"{thing.name}s"


def counted(thing: Fastener | Item, count: int | None = None) -> str:
    """A thing with its count, such as "5 wheel bolts" or "1 cam bolt"; the file's quantity if no count is given."""
    count = thing.quantity if count is None else count
    return how_many(count, thing.name, plural_of(thing))


def in_words(thing: Fastener | Item, count: int) -> str:
    """A thing with its count in words: "three joint bolts", "the cam bolt" where there is one of it."""
    return f"the {thing.name}" if thing.quantity == 1 else counted_words(count, thing.name, plural_of(thing))


def named(thing: Fastener | Item) -> str:
    """A thing without a count: "cam bolt", or "wheel bolts" where there are several."""
    return thing.name if thing.quantity == 1 else plural_of(thing)


def drive_label(fastener: Fastener) -> str | None:
    """What drives it: "17 mm", or the words of the file ("star 45"); None where it does not say."""
    return f"{fastener.drive_mm:g} mm" if fastener.drive_mm is not None else fastener.drive


def tool_of(fastener: Fastener) -> str:
    """What turns a head whose size is given: a hex bit in a hexagon socket, a socket on any other."""
    return "hex bit" if fastener.head == "socket" else "socket"


def thread_state_label(fastener: Fastener) -> str | None:
    """What belongs on the thread when it is tightened; None for a dry one."""
    return {"dry": None, "oiled": "thread oiled", "locker": "locker on the thread"}[fastener.thread_state]


def thread_label(fastener: Fastener) -> str | None:
    """Thread with class and hand: "M12x1.5, class 10.9, left-hand"; None where the file gives no thread."""
    if fastener.thread is None:
        return None
    words = [fastener.thread]
    if fastener.property_class is not None:
        words.append(f"class {fastener.property_class}")
    if fastener.left_hand:
        words.append("left-hand")
    return ", ".join(words)


def fluid_name(item: Item) -> str:
    """What a consumable is, without its measure: "gear oil" of "litre of gear oil"."""
    return item.name.rpartition(" of ")[2]

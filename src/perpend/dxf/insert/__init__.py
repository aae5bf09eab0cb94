"""Writing what we drew into the drafter's drawing, without touching what is his.

The way, `writer`: `text_map` finds the places in the drawing's text, `strip` takes out what an earlier run
drew, `fresh` exports what is new in the document, `insertion` puts it in, `proof` shows that nothing else
changed, `files` gives the file its name. `saving` is the other way, for drawings that can't be inserted into,
and `changes` measures what that does to them. `cleaning` takes out again what we drew; `seal` tells later
whether anybody touched what we wrote; `names` finds free names for layers and styles.

Nothing is loaded here: whoever needs one of these modules names it, and does not wait for the others.
"""

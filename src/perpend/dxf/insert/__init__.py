"""Writing what we drew into the drafter's drawing, without touching what is his.

The way of `drawing_writer`: `text_map` finds the places in the drawing's text, `take_out` takes out what an
earlier run drew, `new_records` exports what is new in the document, `insertion` puts it in, `proof` shows
that nothing else changed, `atomic_file` gives the file its name. `full_save` is the other way, for drawings
that can't be inserted into, and `save_changes` measures what that does to them. `cleaning` takes out again
what we drew; `output_seal` tells later whether anybody touched what we wrote; `free_names` finds names for
layers.

Nothing is loaded here: whoever needs one of these modules names it, and does not wait for the others.
"""

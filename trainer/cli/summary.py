"""What `trainer` alone does: the screens at a terminal, elsewhere where each player stands."""

from __future__ import annotations

from trainer.application.views.folding import paragraphs
from trainer.cli.context import Context, Output


def screens_can_open(context: Context) -> bool:
    """Whether a person sits at a terminal that can show screens, and asked for no JSON."""
    can_draw = context.environ.get("TERM", "dumb") != "dumb" and context.stderr.isatty()
    return context.interactive and can_draw and not context.json


def run_summary(context: Context) -> Output:
    """The screens at a terminal; elsewhere where the player stands, and what to do next."""
    if screens_can_open(context):
        from trainer.tui.app import run_screens

        run_screens(context.store_path, context.player_alias, environ=context.environ)
        return Output("All that was recorded is kept. The table: trainer gaps", {})
    if not context.store_path.exists():
        text = paragraphs(
            'No player yet. Begin with: trainer setup --from-carry "7 iron=150yd" (measured) '
            'or --from-belief "7 iron=150yd" (remembered). To look around: trainer demo --plain'
        )
        return Output(text, {"players": [], "store": str(context.store_path)})
    from trainer.application.evidence.history import read_history
    from trainer.application.views.words import summary_data, summary_text

    with context.open_store(write=False) as store:
        players = store.players()
        past = [read_history(store, player.profile.alias) for player in players]
    rows = [(each.profile.alias, tuple(each.sessions.values()), len(each.shots)) for each in past]
    return Output(summary_text(rows), {**summary_data(rows), "store": str(context.store_path)})

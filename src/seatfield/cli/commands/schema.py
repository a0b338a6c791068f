"""Print the JSON Schema of the project file, for editors."""

import click


@click.command("schema")
@click.argument("what", type=click.Choice(["project", "plan"]), default="project")
def command(what: str) -> None:
    """Print the JSON Schema of the project file (or of the plan's JSON).

    An editor that knows TOML schemas completes and checks project.toml with it: keep it with
    `seatfield schema > project.schema.json` and name that file in the editor.
    """
    from seatfield.cli.say import say_json
    from seatfield.pipeline.schemas import plan_schema, project_schema

    say_json(project_schema() if what == "project" else plan_schema())

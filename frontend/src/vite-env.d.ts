declare module "virtual:drawing.css" {}

using Microsoft.EntityFrameworkCore.Migrations;

#nullable disable

namespace Stakeboat.Storage.Migrations.Postgres
{
    /// <inheritdoc />
    public partial class Abandoned : Migration
    {
        /// <inheritdoc />
        protected override void Up(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.AddColumn<bool>(
                name: "Abandoned",
                table: "corrections",
                type: "boolean",
                nullable: false,
                defaultValue: false);
        }

        /// <inheritdoc />
        protected override void Down(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.DropColumn(
                name: "Abandoned",
                table: "corrections");
        }
    }
}
